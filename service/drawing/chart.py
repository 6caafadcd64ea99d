"""Draws the fingerboard as SVG: nut on top, lowest string left, as the player looks down on it.

Notes of the key are discs with their finger, other places of the same finger are small and say low or high. A pitch
that lies on two strings within the picture has the same colour and the same name in both places. Spacing follows the
real fingerboard loosely, so that high positions stay readable: a chart, not a ruler.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from xml.sax.saxutils import escape

from rules import (
    HIGHEST_POSITION,
    INSTRUMENTS,
    Fingerboard,
    FingerboardSpot,
    FingerPlacement,
    Key,
    Pitch,
    fingerboard_in,
    same_pitch,
)

from .. import errors
from ..errors import said
from ..messages.message import Wording
from ..messages.music_words import INSTRUMENTS as INSTRUMENT_WORDS
from ..messages.music_words import position_words
from ..messages.sheets import CHART_HIGH, CHART_LEGEND, CHART_LOW, CHART_STRING, CHART_TITLE
from ..naming import Language, octave_word, position_word

_INK, _PAPER, _FAINT = "#1c2426", "#fdfdfa", "#5d6b6b"
# Dark enough for white figures on them (contrast 4.5 and more); names tell them apart where colours do not.
_COLOURS = ("#1f5fa0", "#a63d0a", "#00694a", "#86367a", "#6f5200", "#00626f", "#98203f", "#4b4c86")
_GAP = 84  # between strings
_LEFT = 46
_TOP = 84
_FIRST_STEP, _NARROWING = 31.0, 0.985
_NUMERALS = ("", "I", "II", "III", "IV")
_ARROWS = {FingerPlacement.LOW: "↓", FingerPlacement.PLAIN: "", FingerPlacement.HIGH: "↑"}
_TEXT = 'font-family="Gill Sans, Candara, Noto Sans, DejaVu Sans, sans-serif"'


def chart_of(position: int, key: str, instrument: str, language: Language, notes: str = "") -> str:
    """Return the chart for options as a door gets them; `notes` is a list such as `2:D5,1:A5` (string and pitch).

    Raises:
        ScoreError: `bad-option`, naming the option, what was given and what is possible.
    """
    if instrument not in INSTRUMENTS:
        raise errors.bad_option("instrument", instrument, said("one of {words}", words=", ".join(INSTRUMENTS)))
    if not 0 <= position <= HIGHEST_POSITION:
        raise errors.bad_option(
            "position",
            str(position),
            said("a position from 0 to {HIGHEST_POSITION}", HIGHEST_POSITION=HIGHEST_POSITION),
        )
    try:
        signature = Key.named(key)
    except ValueError:
        raise errors.bad_option("key", key, said("a key such as D, Bb, F#m or Am")) from None
    ringed = [_ringed(piece.strip()) for piece in notes.split(",") if piece.strip()]
    return chart_svg(fingerboard_in(INSTRUMENTS[instrument], position, signature), ringed, language)


def _ringed(text: str) -> tuple[int, Pitch]:
    string, _, name = text.partition(":")
    try:
        return int(string), Pitch.named(name)
    except ValueError:
        raise errors.bad_option("notes", text, said("notes as string:pitch, for example 2:D5,1:A5")) from None


def chart_svg(
    board: Fingerboard, notes: Iterable[tuple[int, Pitch]] = (), language: Language = Language.BRITISH
) -> str:
    """Return the chart of a position; `notes` (string and pitch) are ringed.

    Colours and sizes are attributes with a class each, so that a page can give it another dress.
    """
    return _Chart(board, frozenset((string, pitch.midi) for string, pitch in notes), language).drawing()


class _Chart:
    def __init__(self, board: Fingerboard, ringed: frozenset[tuple[int, float]], language: Language) -> None:
        self._board = board
        self._ringed = ringed
        self._language = language
        self._wording = Wording(language)
        self._highest = max(spot.semitones for spot in board.spots) + 1
        self._strings = len(board.instrument.open_strings)
        self._colours = self._shared_colours()

    def drawing(self) -> str:
        width = 2 * _LEFT + _GAP * (self._strings - 1) + 46
        height = round(self._y(self._highest) + 58)
        board, wording = self._board, self._wording
        key, instrument = wording.text(board.key.name), wording.say(INSTRUMENT_WORDS[board.instrument.name])
        title = f"{position_word(board.position, self._language)} · {key} · {instrument}"
        position = position_words(wording, board.position)
        about = wording.say(CHART_TITLE, position=position, key=key, instrument=instrument)
        body = "".join(self._parts())
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" height="{height}" '
            f'role="img" aria-labelledby="chart-title chart-text" {_TEXT}>'
            f'<title id="chart-title">{escape(about)}</title><desc id="chart-text">{escape(self._described())}</desc>'
            f'<rect class="chart-paper" width="{width}" height="{height}" fill="{_PAPER}"/>'
            f'<text class="chart-ink" x="{_LEFT - 22}" y="26" font-size="18" fill="{_INK}">{escape(title)}</text>'
            f'{body}<text class="chart-faint" x="{_LEFT - 22}" y="{height - 14}" font-size="13" fill="{_FAINT}">'
            f"{escape(wording.say(CHART_LEGEND))}</text></svg>"
        )

    def _described(self) -> str:
        """The same in words, string by string from the lowest."""
        lines = []
        for string in reversed(self._board.instrument.string_numbers):
            fingers = [p for p in self._board.spots if p.string == string and p.in_key and p.finger]
            said = ", ".join(f"{self._finger(spot)} {octave_word(spot.pitch, self._language)}" for spot in fingers)
            name = self._wording.note(self._board.instrument.open_pitch(string))
            lines.append(self._wording.say(CHART_STRING, name=name, fingers=said))
        return " ".join(lines)

    def _finger(self, spot: FingerboardSpot) -> str:
        placed = {FingerPlacement.LOW: CHART_LOW, FingerPlacement.HIGH: CHART_HIGH}.get(spot.placement)
        return str(spot.finger) if placed is None else self._wording.say(placed, finger=str(spot.finger))

    def _x(self, string: int) -> float:
        return _LEFT + _GAP * (self._strings - string)

    def _y(self, semitones: float) -> float:
        return float(_TOP + _FIRST_STEP * (1 - _NARROWING**semitones) / (1 - _NARROWING))

    def _shared_colours(self) -> dict[float, str]:
        """A colour for every pitch of the key that lies on more than one string, in order of height."""
        shared = sorted(
            {
                spot.pitch.midi
                for spot in self._board.spots
                if spot.in_key and same_pitch(self._board, spot, self._highest)
            }
        )
        return {midi: _COLOURS[index % len(_COLOURS)] for index, midi in enumerate(shared)}

    def _parts(self) -> Iterator[str]:
        bottom = self._y(self._highest) + 16
        right = self._x(1)
        yield self._hand()
        yield (
            f'<path class="chart-nut" d="M{_LEFT - 14} {_TOP}H{right + 14}" stroke="{_INK}" stroke-width="6" '
            'fill="none"/>'
        )
        for string in self._board.instrument.string_numbers:
            x = self._x(string)
            yield (
                f'<path class="chart-string" d="M{x} {_TOP}V{bottom}" stroke="{_FAINT}" '
                f'stroke-width="{0.8 + 0.6 * string:g}" fill="none"/>'
                f'<text class="chart-faint" x="{x}" y="48" font-size="14" text-anchor="middle" fill="{_FAINT}">'
                f"{_NUMERALS[string] if string < len(_NUMERALS) else string}</text>"
            )
        yield from self._ghosts()
        yield from self._others()
        for spot in self._board.spots:
            if spot.in_key:
                yield self._spot(spot)

    def _hand(self) -> str:
        """The part of the fingerboard under the hand."""
        stopped = [spot.semitones for spot in self._board.spots if spot.finger and spot.in_key]
        top, bottom = self._y(min(stopped)) - 15, self._y(max(stopped)) + 15
        return (
            f'<rect class="chart-hand" x="{_LEFT - 24}" y="{top:g}" '
            f'width="{self._x(1) - _LEFT + 48}" '
            f'height="{bottom - top:g}" rx="14" fill="#e4ebe6"/>'
        )

    def _ghosts(self) -> Iterator[str]:
        """Where its pitches lie on other strings: diamonds in the same colour, with the same name."""
        taken = {(spot.string, spot.semitones) for spot in self._board.spots}
        drawn: set[tuple[int, int]] = set()
        for spot in self._board.spots:
            if not spot.in_key or not spot.finger:
                continue
            for string, semitones in same_pitch(self._board, spot, self._highest):
                if (string, semitones) in taken | drawn:
                    continue
                drawn.add((string, semitones))
                x, y = self._x(string), self._y(semitones)
                colour = self._colours[spot.pitch.midi]
                yield (
                    f'<path class="chart-ghost" d="M{x} {y - 9:g}l9 9l-9 9l-9-9z" fill="{_PAPER}" stroke="{colour}" '
                    f'stroke-width="2.5"/>{self._name(spot.pitch, x + 15, y, colour)}'
                )

    def _others(self) -> Iterator[str]:
        """Places that the key does not ask for: which fingers take them, and whether low or high."""
        key = {(spot.string, spot.semitones) for spot in self._board.spots if spot.in_key}
        found: dict[tuple[int, int], list[FingerboardSpot]] = {}
        for spot in self._board.spots:
            if not spot.in_key and (spot.string, spot.semitones) not in key:
                found.setdefault((spot.string, spot.semitones), []).append(spot)
        for (string, semitones), spots in found.items():
            x, y = self._x(string), self._y(semitones)
            said = " ".join(f"{spot.finger}{_ARROWS[spot.placement]}" for spot in spots)
            yield (
                f'<circle class="chart-hole" cx="{x}" cy="{y:g}" r="5" fill="{_PAPER}" stroke="{_FAINT}" '
                f'stroke-width="1.5"/><text class="chart-faint" x="{x + 11}" y="{y + 4:g}" font-size="13" '
                f'fill="{_FAINT}">{said}</text>'
            )

    def _spot(self, spot: FingerboardSpot) -> str:
        x, y = self._x(spot.string), self._y(spot.semitones)
        if spot.finger == 0:
            y = _TOP - 18
        colour = self._colours.get(spot.pitch.midi)
        ring = (
            f'<circle class="chart-ring" cx="{x}" cy="{y:g}" r="17" fill="none" stroke="{_INK}" stroke-width="2.5"/>'
            if (spot.string, spot.pitch.midi) in self._ringed
            else ""
        )
        kind = "chart-same" if colour else "chart-disc"
        return (
            f'<g class="chart-place" data-note="{spot.string}:{spot.pitch.midi}">{ring}'
            f'<circle class="{kind}" cx="{x}" cy="{y:g}" r="13" fill="{colour or _INK}"/>'
            f'<text class="{kind}-text" x="{x}" y="{y + 5:g}" font-size="16" font-weight="bold" text-anchor="middle" '
            f'fill="#ffffff">{spot.finger}</text>{self._name(spot.pitch, x + 20, y, colour, spot.placement)}</g>'
        )

    def _name(
        self, pitch: Pitch, x: float, y: float, colour: str | None, placement: FingerPlacement = FingerPlacement.PLAIN
    ) -> str:
        """The name of a pitch beside its place, and whether the finger stands low or high."""
        kind = "chart-colour" if colour else "chart-ink"
        fill = colour or _INK
        said = f"{octave_word(pitch, self._language)} {_ARROWS[placement]}".strip()
        weight = ' font-weight="bold"' if colour else ""
        return f'<text class="{kind}" x="{x}" y="{y + 5:g}" font-size="14"{weight} fill="{fill}">{escape(said)}</text>'
