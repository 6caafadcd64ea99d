"""Jumps in playing order: repeats, endings, da capo, dal segno, coda.

An event keeps one such origin, the first found; further repeats of the same bars add none.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Sequence

from ..notation.directions import Direction, Kind
from ..notation.notes import Tick, WrittenNote

_DA_CAPO = re.compile(r"^\W*(?:d\.?\s?c\b|da capo)", re.IGNORECASE)
_DAL_SEGNO = re.compile(r"^\W*(?:d\.?\s?s\b|dal segno)", re.IGNORECASE)


class _Jumps:
    def __init__(self, groups: Sequence[Sequence[WrittenNote]]) -> None:
        self._groups = groups
        self._onsets = [group[0].onset for group in groups]
        self.origins: dict[int, int] = {}

    def add(self, target: Tick, measure: int, leaving: Tick, last_measure: int) -> None:
        """Add a jump from the last event before `leaving` to the event at `target`."""
        index, origin = self._first(target, measure), self._first(leaving, last_measure + 1) - 1
        if index < len(self._groups) and 0 <= origin != index - 1:
            self.origins.setdefault(index, origin)

    def _first(self, tick: Tick, measure: int) -> int:
        index = bisect_left(self._onsets, tick)
        while index < len(self._groups) and self._onsets[index] == tick and self._groups[index][0].measure < measure:
            index += 1  # grace notes at the end of the bar before
        return index


class _Repeats:
    """The repeat that is open at the moment, and its endings."""

    def __init__(self, jumps: _Jumps) -> None:
        self._jumps = jumps
        self._start: tuple[Tick, int] = (0, 0)
        self._ending: tuple[Tick, int] | None = None  # where the first ending of this repeat begins
        self._sent_back = False

    def start(self, tick: Tick, measure: int) -> None:
        self._start, self._ending, self._sent_back = (tick, measure), None, False

    def ending(self, tick: Tick, measure: int) -> None:
        self._ending = self._ending or (tick, measure)

    def stop(self, tick: Tick, measure: int) -> None:
        self._jumps.add(*self._start, tick, measure)
        if self._ending is None:
            self._start = (tick, measure + 1)
        elif not self._sent_back:
            self._jumps.add(tick, measure + 1, self._ending[0], self._ending[1] - 1)
        self._sent_back = True


def find_jumps(directions: Sequence[Direction], groups: Sequence[Sequence[WrittenNote]]) -> dict[int, int]:
    """Return for events (by index) the event that is played before them besides their neighbour.

    The bar after a first ending is reached from the bar before that ending, whether or not it prints a second one.
    """
    jumps = _Jumps(groups)
    repeats = _Repeats(jumps)
    repeat_handlers = {
        Kind.REPEAT_START: repeats.start,
        Kind.ENDING_START: repeats.ending,
        Kind.REPEAT_STOP: repeats.stop,
    }
    signs: dict[Kind, list[tuple[Tick, int]]] = {Kind.SEGNO: [], Kind.TO_CODA: []}
    for tick, _, measure, kind, value in directions:
        handler = repeat_handlers.get(kind)
        if handler:
            handler(tick, measure)
        elif kind in signs:
            signs[kind].append((tick, measure))
        else:
            _sign_jump(jumps, tick, measure, kind, value, signs)
    return jumps.origins


def _sign_jump(
    jumps: _Jumps, tick: Tick, measure: int, kind: Kind, value: str, signs: dict[Kind, list[tuple[Tick, int]]]
) -> None:
    if kind is Kind.DA_CAPO or (kind is Kind.WORDS and _DA_CAPO.match(value)):
        jumps.add(0, 0, tick, measure)
    elif (kind is Kind.DAL_SEGNO or (kind is Kind.WORDS and _DAL_SEGNO.match(value))) and signs[Kind.SEGNO]:
        jumps.add(*signs[Kind.SEGNO][0], tick, measure)
    elif kind is Kind.CODA and signs[Kind.TO_CODA]:
        jumps.add(tick, measure, *signs[Kind.TO_CODA][-1])
