"""A shift as it is practised."""

from __future__ import annotations

from dataclasses import dataclass

from ...check.catalogue.stretch_beyond_frame import RELAXED
from ...hand.grip import HOME_POSITION, Grip, Stop
from ...hand.level import ShiftKind
from ...music.instrument import Instrument
from ...music.key import Key
from ...music.metre import Meter
from ..scale_tones import semitones_above_nut
from ..sheet import Tone


@dataclass(frozen=True, slots=True)
class Move:
    """A shift as it is practised: from where to where, with which fingers, in which key and metre.

    Attributes:
        instrument: who plays.
        key: of the piece.
        meter: of the bar in which the hand arrives.
        kind: how the hand travels.
        start: position left.
        goal: position reached.
        departure: the last note before the hand moves.
        arrival: the first note in the new position.
        guide: where the guide finger stands on arriving, if that is not the arrival note.
        lead: where the finger that arrives stands before the hand moves, if it leads and is not the one that played.
        between: the open string that sounds while the hand moves, if one does.
        may_slur: the level allows shifts under a slur.
        is_slurred: the piece has this one under a slur.
    """

    instrument: Instrument
    key: Key
    meter: Meter
    kind: ShiftKind
    start: int
    goal: int
    departure: Tone
    arrival: Tone
    guide: Tone | None = None
    lead: Tone | None = None
    between: Tone | None = None
    may_slur: bool = True
    is_slurred: bool = False

    @property
    def is_sounding(self) -> bool:
        """True if the hand travels while the bow plays on a stopped note."""
        return self.kind not in (ShiftKind.REST, ShiftKind.OPEN_STRING)

    @property
    def is_same_finger(self) -> bool:
        """True if one finger on one string plays both notes."""
        return (self.departure.finger, self.departure.string) == (self.arrival.finger, self.arrival.string)

    @property
    def is_home(self) -> bool:
        """True if the hand comes nearer to first position; out of half position that is up."""
        return abs(self.goal - HOME_POSITION) < abs(self.start - HOME_POSITION)

    @property
    def strings_apart(self) -> int:
        """How many strings lie between departure and arrival; 0 if they share one."""
        return abs((self.departure.string or 0) - (self.arrival.string or 0))


def is_reach(instrument: Instrument, tone: Tone, position: int) -> bool:
    """Return True if the finger leaves the frame of the position for the tone, or takes the letter beyond its own."""
    if not tone.finger or tone.string is None or tone.harmonic:
        return False
    open_pitch = instrument.open_pitch(tone.string)
    semitones = tone.pitch.midi - open_pitch.midi
    stop = Stop(tone.string, tone.finger, semitones, tone.pitch.letter - open_pitch.letter)
    return Grip((stop,), position).reaches


def lie_together(instrument: Instrument, one: Tone, other: Tone) -> bool:
    """Return True if the relaxed hand has both under its fingers; beside one that reaches out it may not have them."""
    apart = abs((one.finger or 0) - (other.finger or 0))
    span = abs(semitones_above_nut(instrument, one) - semitones_above_nut(instrument, other))
    # Between fingers that are not neighbours the hand opens by a half step (an augmented fourth from 1 to 4).
    return not apart or span <= RELAXED[apart] + (apart > 1)


__all__ = ["Move", "is_reach", "lie_together"]
