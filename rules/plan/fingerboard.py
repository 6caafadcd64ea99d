"""The fingerboard in one position and key: where every finger falls, and where else a pitch lies."""

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


class FingerPlacement(StrEnum):
    """How a finger stands within the frame of its position."""

    LOW = "low"
    PLAIN = ""
    HIGH = "high"


@dataclass(frozen=True, slots=True)
class FingerboardSpot:
    """One spot on the fingerboard: `semitones` above the open string, finger 0 for the open string itself.

    `in_key` is true for the spot that the key signature asks for, false for others that the same finger can take.
    """

    string: int
    finger: int
    semitones: int
    pitch: Pitch
    placement: FingerPlacement
    in_key: bool


@dataclass(frozen=True, slots=True)
class Fingerboard:
    """Every place of one hand: position and key, the open strings first, then string by string."""

    instrument: Instrument
    position: int
    key: Key
    spots: tuple[FingerboardSpot, ...]


def fingerboard_in(instrument: Instrument, position: int, key: Key = C_MAJOR) -> Fingerboard:
    """Return where every finger falls in a position.

    Raises:
        ValueError: if there is no such position.
    """
    if not 0 <= position <= HIGHEST_POSITION:
        raise ValueError(f"there is no position {position}: positions go from 0 (half position) to {HIGHEST_POSITION}")
    found = [_open_spot(instrument, string) for string in instrument.string_numbers]
    for string in instrument.string_numbers:
        for finger in FINGERS:
            found.extend(_spots(instrument, string, finger, position, key))
    return Fingerboard(instrument, position, key, tuple(found))


def _open_spot(instrument: Instrument, string: int) -> FingerboardSpot:
    return FingerboardSpot(string, 0, 0, instrument.open_pitch(string), FingerPlacement.PLAIN, True)


def _spots(instrument: Instrument, string: int, finger: int, position: int, key: Key) -> list[FingerboardSpot]:
    """The places of one letter: as the key has it, and its other alterations within the frame, from the lowest."""
    open_pitch = instrument.open_pitch(string)
    asked = key.pitch(open_pitch.letter + position - 1 + finger)
    found = []
    for alteration in _ALTERATIONS:
        pitch = Pitch(asked.letter, alteration)
        semitones = round(pitch.midi - open_pitch.midi)
        within = frame_excess(semitones, finger, position) == 0
        if semitones > 0 and (within or pitch == asked):
            found.append(
                FingerboardSpot(
                    string, finger, semitones, pitch, _placement(semitones, finger, position), pitch == asked
                )
            )
    return found


def _placement(semitones: int, finger: int, position: int) -> FingerPlacement:
    away = semitones - HOME * (position + finger - 1)
    if abs(away) <= _AT_HOME:
        return FingerPlacement.PLAIN
    return FingerPlacement.LOW if away < 0 else FingerPlacement.HIGH


def same_pitch(board: Fingerboard, spot: FingerboardSpot, highest: int) -> tuple[tuple[int, int], ...]:
    """Return where else a pitch lies, as (string, semitones), open strings included, up to `highest` semitones."""
    found = []
    for string in board.instrument.string_numbers:
        semitones = round(spot.pitch.midi - board.instrument.open_pitch(string).midi)
        if string != spot.string and 0 <= semitones <= highest:
            found.append((string, semitones))
    return tuple(found)


__all__ = ["FingerPlacement", "Fingerboard", "FingerboardSpot", "fingerboard_in", "same_pitch"]
