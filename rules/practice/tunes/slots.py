"""The notes that a tune is to have, before it has them: when, how long, over which chord, in which position.

What belongs here: laying a form under a hand. What does not: the melody itself (see `tunes`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

from ...music.instrument import Instrument
from ...music.key import Key
from ..barring import beat_length
from ..scale_tones import open_in_key
from .forms import ALIKE, ANSWER, MIDDLE, RETURN, Beat, Form


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
        bar: number of its bar, from 0.
        place: quarter notes into the bar.
        beats: its length.
        bowed_on: the next note is in the same bow.
        strong: it stands on a beat and lasts as long.
        target: where the curve of the melody is, in steps from the tonic it circles around.
        chords: names of the chords that it can sound over.
        starts: the slot that begins its bar.
        position: where the hand is.
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
    strong: bool
    target: float
    chords: tuple[str, ...]
    starts: int
    position: int
    turn: Turn | None
    leads_to: Turn | None
    copies: int | None
    sequence_of: int | None
    final: bool
    cadence: bool
    opening: bool
    rest: Fraction = Fraction(0)


def slots_of(form: Form, hand: Hand) -> list[Slot]:
    """Return the slots of a form in playing order."""
    slots: list[Slot] = []
    starts: list[int] = []
    beat = beat_length(form.meter)
    for bar, rhythm in enumerate(form.bars):
        starts.append(len(slots))
        place = Fraction(0)
        length = sum((note.beats for note in rhythm), Fraction(0))
        moves = _middle(rhythm, length) if bar in hand.early else None
        for index, note in enumerate(rhythm):
            here, there = form.heights[bar], form.heights[bar + 1]
            last = index == len(rhythm) - 1
            moved = moves is not None and index >= moves
            turn = hand.turns.get(bar) if index == 0 else None
            leads_to = hand.turns.get(bar + 1) if last else None
            if moves is not None:
                turn = hand.turns.get(bar + 1) if index == moves else turn
                leads_to = hand.turns.get(bar + 1) if index == moves - 1 else None
            elif index == 0 and bar - 1 in hand.early and _middle(form.bars[bar - 1], length) is not None:
                turn = None
            slots.append(
                Slot(
                    bar=bar,
                    place=place,
                    beats=note.beats,
                    bowed_on=note.bowed_on or leads_to is Turn.SLUR,
                    strong=place == 0 or (place % beat == 0 and note.beats >= beat),
                    target=here + (there - here) * float(place / length),
                    chords=form.alternatives(bar),
                    starts=starts[bar],
                    position=hand.positions[bar + 1] if moved else hand.positions[bar],
                    turn=turn,
                    leads_to=leads_to,
                    copies=_copied(starts, form, bar, index),
                    sequence_of=_sequence(starts, form, bar, index),
                    final=last and bar in (MIDDLE - 1, len(form.bars) - 1),
                    opening=not slots,
                    cadence=last and bar in (ANSWER - 1, MIDDLE - 2, len(form.bars) - 2),
                    rest=note.beats / 2 if leads_to is Turn.REST else Fraction(0),
                )
            )
            place += note.beats
    return slots


def _middle(rhythm: Sequence[Beat], length: Fraction) -> int | None:
    """The first note of the second half of a bar; None if no note begins there."""
    place = Fraction(0)
    for index, note in enumerate(rhythm):
        if place >= length / 2:
            return index
        place += note.beats
    return None


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


def _copied(starts: list[int], form: Form, bar: int, index: int) -> int | None:
    """The slot that a slot repeats: the answer begins like the question, and returns whole at the end."""
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


__all__ = ["Hand", "Slot", "Turn", "slots_of", "towards_open_strings"]
