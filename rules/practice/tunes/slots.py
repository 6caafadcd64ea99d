"""The notes that a tune is to have, before it has them: when, how long, over which chord, in which position."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from itertools import accumulate

from ...music.instrument import Instrument
from ...music.key import Key
from ...music.metre import bar_length, beat_length
from ..scale_tones import open_in_key
from .forms import ALIKE, ANSWER, BARS, MIDDLE, RETURN, Beat, Form

UPBEAT = -1
"""The bar of the notes before the first one."""


class Turn(StrEnum):
    """How a tune changes position."""

    FIRST_FINGER = "on the first finger"
    OPEN_STRING = "over an open string"
    SECOND_FINGER = "led by the second finger"
    GUIDE_FINGER = "from one finger to another"
    REST = "over a rest"
    SLUR = "under a slur"


@dataclass(frozen=True, slots=True)
class Hand:
    """Where the hand is at the beginning of every bar, and how it has come there (by bar number from 0).

    In the bars of `early` the hand moves in the middle already, to the position of the next bar.
    """

    positions: tuple[int, ...]
    turns: dict[int, Turn]
    early: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Slot:
    """One note to be found.

    Attributes:
        bar: number of its bar, from 0; `UPBEAT` for the notes before it.
        place: quarter notes into the bar.
        beats: its length.
        bowed_on: the next note is in the same bow.
        target: where the curve of the melody is, in steps from the tonic it circles around.
        chords: names of the chords that it can sound over.
        position: where the hand is.
        strong: it stands on a beat and lasts as long.
        starts: the slot that begins its bar.
        turn: how the hand has come here, if it moved.
        leads_to: how the hand moves after it, if it does.
        copies: the slot whose note is repeated here.
        sequence_of: the slot whose step is taken again here.
        final: the last note of an answer.
        cadence: the note before it, or the end of the question.
        opening: the first note of all.
        rest: silence at its end, in which the hand moves (within its length).
    """

    bar: int
    place: Fraction
    beats: Fraction
    bowed_on: bool
    target: float
    chords: tuple[str, ...]
    position: int
    strong: bool = False
    starts: int = 0
    turn: Turn | None = None
    leads_to: Turn | None = None
    copies: int | None = None
    sequence_of: int | None = None
    final: bool = False
    cadence: bool = False
    opening: bool = False
    rest: Fraction = Fraction(0)


def slots_of(form: Form, hand: Hand) -> list[Slot]:
    """Return the slots of a form in playing order, those of the upbeat first."""
    slots = _upbeat(form, hand)
    starts: list[int] = []
    for bar in range(len(form.bars)):
        starts.append(len(slots))
        slots += _slots_of_bar(form, hand, bar, starts)
    slots[0] = replace(slots[0], opening=True)
    return slots


def _upbeat(form: Form, hand: Hand) -> list[Slot]:
    """The notes before the first bar, below the note to which they lead."""
    place = bar_length(form.meter) - sum((note.beats for note in form.upbeat_notes), Fraction(0))
    found = []
    for note in form.upbeat_notes:
        found.append(
            Slot(UPBEAT, place, note.beats, note.bowed_on, form.heights[0] - 2, form.alternatives(0), hand.positions[0])
        )
        place += note.beats
    return found


def _slots_of_bar(form: Form, hand: Hand, bar: int, starts: list[int]) -> Iterator[Slot]:
    """The slots of one bar; `starts` are the slots that begin the bars, down to this one."""
    rhythm, beat = form.bars[bar], beat_length(form.meter)
    here, there = form.heights[bar], form.heights[bar + 1]
    moves, upbeat = _early(form, hand, bar), form.upbeat_at(bar)
    last = (len(rhythm) if upbeat is None else upbeat) - 1
    place = Fraction(0)
    for index, note in enumerate(rhythm):
        turn = hand.turns.get(bar) if index == 0 and _early(form, hand, bar - 1) is None else None
        turn = hand.turns.get(bar + 1) if index == moves else turn
        leads_to = hand.turns.get(bar + 1) if index == (len(rhythm) if moves is None else moves) - 1 else None
        moved = moves is not None and index >= moves
        yield Slot(
            bar,
            place,
            note.beats,
            note.bowed_on or leads_to is Turn.SLUR,
            here + (there - here) * float(place / bar_length(form.meter)),
            form.alternatives(bar),
            hand.positions[bar + 1] if moved else hand.positions[bar],
            strong=place == 0 or (place % beat == 0 and note.beats >= beat and index <= last),
            starts=starts[bar],
            turn=turn,
            leads_to=leads_to,
            copies=_copied(form, starts, bar, index),
            sequence_of=_sequence(starts, form, bar, index),
            final=index == last and bar in (MIDDLE - 1, BARS - 1),
            cadence=index == last and bar in (ANSWER - 1, MIDDLE - 2, BARS - 2),
            rest=_silence(note.beats, beat) if leads_to is Turn.REST else Fraction(0),
        )
        place += note.beats


def _early(form: Form, hand: Hand, bar: int) -> int | None:
    """The note of a bar before which the hand moves to the position of the next bar; None if it moves at its end."""
    if bar in hand.early:
        return _middle(form.bars[bar], bar_length(form.meter))
    return form.upbeat_at(bar) if bar >= 0 and bar + 1 in hand.turns else None


def _silence(beats: Fraction, beat: Fraction) -> Fraction:
    """How much of a note is silent at its end: half of it, a beat at most; a third of a dotted note within a beat.

    In less than an eighth no learner moves in silence: a short note gives way to the rest.
    """
    half = min(beats / 2, beat)
    if half < _SHORTEST_SILENCE:
        return beats
    return beats / 3 if half < beat and half.numerator % 3 == 0 else half


_SHORTEST_SILENCE = Fraction(1, 2)


def _middle(rhythm: Sequence[Beat], length: Fraction) -> int | None:
    """The note, other than the first, that begins nearest to the middle of a bar; None in a bar of one note."""
    places = list(accumulate((note.beats for note in rhythm[:-1]), initial=Fraction(0)))
    return min(range(1, len(places)), key=lambda index: (abs(places[index] - length / 2), index), default=None)


def towards_open_strings(slots: list[Slot], instrument: Instrument, key: Key, base: int) -> list[Slot]:
    """Bend the curve so that a bar which ends on an open string comes down (or up) to the nearest one."""
    strings = [string for string in instrument.string_numbers if open_in_key(instrument, key, string)]
    letters = [instrument.open_pitch(string).letter - base for string in strings]
    bent = list(slots)
    for slot in slots:
        if slot.leads_to is not Turn.OPEN_STRING:
            continue
        goal = min(letters, key=lambda letter: abs(letter - slot.target))
        bar = [number for number, other in enumerate(slots) if other.bar == slot.bar]
        for count, number in enumerate(bar, start=1):
            share = count / len(bar)
            bent[number] = replace(bent[number], target=slots[number].target * (1 - share) + goal * share)
    return bent


def _copied(form: Form, starts: list[int], bar: int, index: int) -> int | None:
    """The slot that a slot repeats: the answer begins like the question, and returns whole at the end."""
    upbeat = form.upbeat_at(bar)
    if upbeat is not None and index >= upbeat and bar + 1 in (ANSWER, RETURN):
        return index - upbeat
    if ANSWER <= bar < ANSWER + ALIKE:
        return starts[bar - ANSWER] + index
    if bar >= RETURN:
        return starts[bar - RETURN + ANSWER] + index
    return None


def _sequence(starts: list[int], form: Form, bar: int, index: int) -> int | None:
    """The slot whose step the melody takes again, on other notes: in the middle part, two bars later."""
    if bar in (MIDDLE + 2, MIDDLE + 3) and form.bars[bar] == form.bars[bar - 2]:
        return starts[bar - 2] + index
    return None


__all__ = ["UPBEAT", "Hand", "Slot", "Turn", "slots_of", "towards_open_strings"]
