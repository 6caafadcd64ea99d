"""Beat and metric weight of a moment in its measure."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from fractions import Fraction

from ..notation.notes import Tick, WrittenMeasure

FIRST_BEAT, OTHER_BEAT, HALF_BEAT, WEAK = 3, 2, 1, 0


def is_compound(time: tuple[int, int]) -> bool:
    """Whether the beats of a metre are dotted: 6/8, 9/8, 12/8, also in sixteenths (6/4 is taken so as well)."""
    return time[0] > 3 and time[0] % 3 == 0


def beat_length(time: tuple[int, int]) -> Fraction:
    """Return the length of a beat in quarter notes."""
    return Fraction(12 if is_compound(time) else 4, time[1])


def lead_ins(measures: Sequence[WrittenMeasure]) -> list[Tick]:
    """Return for each measure how many ticks of a full measure are missing before its first note.

    A first measure that is too short is a pick-up and counted from its end; so is a short measure that is not counted
    (implicit), and one that completes the short measure before it (a bar divided by a repeat sign).
    """
    missing: list[Tick] = []
    short_before: Tick = 0
    for index, measure in enumerate(measures):
        gap = measure.nominal - measure.length
        completes = 0 < short_before == gap
        is_pickup = gap > 0 and (index == 0 or completes or (measure.implicit and index + 1 < len(measures)))
        missing.append(gap if is_pickup else 0)
        short_before = measure.length if gap > 0 and not completes else 0
    return missing


def too_short(measures: Sequence[WrittenMeasure], sent_back: Collection[int] = ()) -> list[int]:
    """Return the measures (by index) that last less than their metre asks, though nothing allows it.

    A pick-up may, a measure that is not counted, the last one, both halves of a bar that is divided, and a measure that
    a pick-up completes to which the player is sent back; `sent_back` are the measures that end with a repeat sign.
    """
    lead_in = lead_ins(measures)
    gaps = [measure.nominal - measure.length for measure in measures]
    pickups = {measure.length for measure, missing in zip(measures, lead_in, strict=True) if missing}
    return [
        index
        for index, measure in enumerate(measures[:-1])
        if gaps[index] > 0
        and not (measure.implicit or lead_in[index])
        and not (lead_in[index + 1] and measure.length == gaps[index + 1])
        and not (index in sent_back and gaps[index] in pickups)
    ]


def place_in_measure(offset: Fraction, time: tuple[int, int]) -> tuple[Fraction, int]:
    """Return the beat, counted from 1, and the metric strength of a moment `offset` quarters into a full measure."""
    beat = offset / beat_length(time)
    if beat == 0:
        return Fraction(1), FIRST_BEAT
    divided = beat * (3 if is_compound(time) else 2)
    strength = OTHER_BEAT if beat.denominator == 1 else HALF_BEAT if divided.denominator == 1 else WEAK
    return beat + 1, strength
