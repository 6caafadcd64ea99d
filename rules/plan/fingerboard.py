"""Where every finger falls: the fingerboard in one position and key, and where else a pitch lies.

What belongs here: places, low and high fingers, the same pitch on other strings. What does not: drawing them.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ..hand.grip import FINGERS, HIGHEST_POSITION, HOME, frame_excess
from ..music.instrument import Instrument, Pitch
from ..music.key import Key

_AT_HOME = 0.4
"""Semitones from the home of a finger within which it is neither low nor high."""
_ALTERATIONS = (-1, 0, 1)
C_MAJOR = Key(0)


class Placing(StrEnum):
    """How a finger stands within the frame of its position."""

    LOW = "low"
    PLAIN = ""
    HIGH = "high"


@dataclass(frozen=True, slots=True)
class Place:
    """One place on the fingerboard: `semitones` above the open string, finger 0 for the open string itself.

    `in_key` tells the place that the key signature asks for from the others that the same finger can take.
    """

    string: int
    finger: int
    semitones: int
    pitch: Pitch
    placing: Placing
    in_key: bool


@dataclass(frozen=True, slots=True)
class Fingerboard:
    """Every place of one hand: position and key, the open strings first, then string by string."""

    instrument: Instrument
    position: int
    key: Key
    places: tuple[Place, ...]

    def key_place(self, string: int, finger: int) -> Place | None:
        """Return where the key puts a finger on a string; None if the hand does not reach it there."""
        return next((p for p in self.places if p.in_key and (p.string, p.finger) == (string, finger)), None)


def fingerboard_in(instrument: Instrument, position: int, key: Key = C_MAJOR) -> Fingerboard:
    """Return where every finger falls in a position.

    Raises:
        ValueError: if there is no such position.
    """
    if not 0 <= position <= HIGHEST_POSITION:
        raise ValueError(f"there is no position {position}: positions go from 0 (half position) to {HIGHEST_POSITION}")
    found = [_open_place(instrument, string) for string in instrument.string_numbers]
    for string in instrument.string_numbers:
        for finger in FINGERS:
            found.extend(_places(instrument, string, finger, position, key))
    return Fingerboard(instrument, position, key, tuple(found))


def _open_place(instrument: Instrument, string: int) -> Place:
    return Place(string, 0, 0, instrument.open_pitch(string), Placing.PLAIN, True)


def _places(instrument: Instrument, string: int, finger: int, position: int, key: Key) -> list[Place]:
    """The places of one letter: as the key has it, and its other alterations within the frame, from the lowest."""
    open_pitch = instrument.open_pitch(string)
    asked = key.pitch(open_pitch.letter + position - 1 + finger)
    found = []
    for alteration in _ALTERATIONS:
        pitch = Pitch(asked.letter, alteration)
        semitones = round(pitch.midi - open_pitch.midi)
        within = frame_excess(semitones, finger, position) == 0
        if semitones > 0 and (within or pitch == asked):
            found.append(Place(string, finger, semitones, pitch, _placing(semitones, finger, position), pitch == asked))
    return found


def _placing(semitones: int, finger: int, position: int) -> Placing:
    away = semitones - HOME * (position + finger - 1)
    if abs(away) <= _AT_HOME:
        return Placing.PLAIN
    return Placing.LOW if away < 0 else Placing.HIGH


def same_pitch(board: Fingerboard, place: Place, highest: int) -> tuple[tuple[int, int], ...]:
    """Return where else a pitch lies, as (string, semitones), open strings included, up to `highest` semitones."""
    found = []
    for string in board.instrument.string_numbers:
        semitones = round(place.pitch.midi - board.instrument.open_pitch(string).midi)
        if string != place.string and 0 <= semitones <= highest:
            found.append((string, semitones))
    return tuple(found)


__all__ = ["Fingerboard", "Place", "Placing", "fingerboard_in", "same_pitch"]
