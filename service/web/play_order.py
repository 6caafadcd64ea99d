"""The bars of a part in the order in which they are played: repeats, endings, da capo, dal segno, fine, coda.

After da capo or dal segno nothing is repeated, and of several endings the last is played (common practice).
"""

from __future__ import annotations

from dataclasses import dataclass, field

from lxml import etree

_MOST = 8
"""Bars are played at most so many times their number: signs that never let the music end cannot hold anybody up."""


@dataclass
class _Bar:
    forward: bool = False
    backward: int = 0  # how often in all, 0 without a sign
    endings: frozenset[int] = frozenset()
    signs: set[str] = field(default_factory=set)


def play_order(part: etree._Element) -> list[int]:
    """Return the indexes of the measures of a `<part>`, from 0, in playing order."""
    bars = _bars(part)
    player = _Player(bars)
    order: list[int] = []
    while player.at < len(bars) and len(order) < _MOST * len(bars):
        if player.skips():
            player.at += 1
            continue
        order.append(player.at)
        player.go_on()
    return order


class _Player:
    """Somebody who reads along: the bar at hand, where a repeat leads back to, and for the how many-th time."""

    def __init__(self, bars: list[_Bar]) -> None:
        self._bars = bars
        self.at = self._start = 0
        self._times = 1
        self._jumped = False

    def skips(self) -> bool:
        """Enter the bar at hand; return True if it is an ending that is not for this time."""
        bar = self._bars[self.at]
        after_ending = self.at > self._start and bool(self._bars[self.at - 1].endings) and not bar.endings
        if after_ending or (bar.forward and self.at != self._start):
            self._begin(self.at)
        if not bar.endings:
            return False
        last = _last_ending(self._bars, self.at)
        return (last if self._jumped else min(self._times, last)) not in bar.endings

    def go_on(self) -> None:
        """Go to the bar that is played after the one at hand."""
        bar = self._bars[self.at]
        if self._jumped:
            self._go_to_the_end(bar)
        elif bar.backward and self._times < (_last_ending(self._bars, self.at) if bar.endings else bar.backward):
            self.at, self._times = self._start, self._times + 1
        elif bar.signs & {"dacapo", "dalsegno"}:
            self._jumped = True
            self._begin((_first(self._bars, "segno", 0) or 0) if "dalsegno" in bar.signs else 0)
            self.at = self._start
        else:
            if bar.backward and not bar.endings:
                self._begin(self.at + 1)
            self.at += 1

    def _begin(self, start: int) -> None:
        self._start, self._times = start, 1

    def _go_to_the_end(self, bar: _Bar) -> None:
        coda = _first(self._bars, "coda", self.at + 1) if "tocoda" in bar.signs else None
        if "fine" in bar.signs:
            self.at = len(self._bars)
        else:
            self.at = self.at + 1 if coda is None else coda


def _bars(part: etree._Element) -> list[_Bar]:
    bars: list[_Bar] = []
    numbers: frozenset[int] = frozenset()
    for measure in part.iterchildren("measure"):
        bar = _Bar()
        closing = False
        for ending in measure.iterfind("barline/ending"):
            if ending.get("type") == "start":
                numbers = _numbers(ending.get("number", ""))
            else:
                closing = True
        bar.endings = numbers
        if closing:
            numbers = frozenset()
        for repeat in measure.iterfind("barline/repeat"):
            if repeat.get("direction") == "forward":
                bar.forward = True
            else:
                bar.backward = max(int(repeat.get("times", "2")) if repeat.get("times", "2").isdigit() else 2, 2)
        for sound in measure.iter("sound"):
            bar.signs |= {name for name in ("dacapo", "dalsegno", "fine", "tocoda", "segno", "coda") if sound.get(name)}
        bar.signs |= {str(sign.tag) for sign in measure.iter("segno", "coda")} - _leaving(bar.signs)
        bars.append(bar)
    return bars


def _leaving(signs: set[str]) -> set[str]:
    """A coda sign where the music leaves for the coda is not where the coda begins."""
    return {"coda"} if "tocoda" in signs else set()


def _numbers(text: str) -> frozenset[int]:
    found = {int(piece) for piece in text.replace(",", " ").split() if piece.isdigit()}
    return frozenset(found or {1})


def _last_ending(bars: list[_Bar], at: int) -> int:
    """The highest number among the endings that stand side by side around a bar."""
    first = last = at
    while first > 0 and bars[first - 1].endings:
        first -= 1
    while last + 1 < len(bars) and bars[last + 1].endings:
        last += 1
    return max(max(bar.endings) for bar in bars[first : last + 1])


def _first(bars: list[_Bar], sign: str, start: int) -> int | None:
    return next((at for at in range(start, len(bars)) if sign in bars[at].signs), None)
