"""Time signatures: how long a bar is, what its beats are, and what a metronome counts in it."""

from __future__ import annotations

from fractions import Fraction

Meter = tuple[int, int]
"""Beats in a bar and the note value of a beat: (6, 8) is six eighths."""
_SHORT_BAR = 2
"""Quarter notes of a bar that is not cut in two."""


def bar_length(meter: Meter) -> Fraction:
    """Return the length of a bar in quarter notes."""
    return Fraction(4 * meter[0], meter[1])


def beat_length(meter: Meter) -> Fraction:
    """Return the length of a beat in quarter notes: a dotted one in compound metre, never more than a quarter else."""
    upper, lower = meter
    if lower >= 8 and upper % 3 == 0 and upper > 3:
        return Fraction(12, lower)
    return min(Fraction(4, lower), Fraction(1))


def counted_values(meter: Meter) -> tuple[Fraction, ...]:
    """Return what a metronome may count in a metre, in quarter notes: in one if that is usual, the beat, a part of it.

    Two halves are counted in halves, six eighths in dotted quarters, three eighths in one or in eighths (common
    practice); in slow music a part of the beat is counted.
    """
    upper, lower = meter
    if lower >= 8 and upper % 3 == 0:
        bars_beat = Fraction(12, lower)
        return (bars_beat, bars_beat / 3)
    beat = Fraction(4, lower)
    return (beat, beat / 2)


def unit_length(meter: Meter) -> Fraction:
    """Return the length of a note of a scale: a beat, or a third of it in compound metre."""
    beat = beat_length(meter)
    return beat / 3 if beat > 1 else beat


def halves(meter: Meter) -> tuple[Fraction, Fraction]:
    """Return the bar in two parts at a beat, the longer first; in bars of two quarters or less, a bar each."""
    whole, beat = bar_length(meter), beat_length(meter)
    if whole <= _SHORT_BAR:
        return whole, whole
    second = whole / beat // 2 * beat
    return whole - second, second


__all__ = ["Meter", "bar_length", "beat_length", "counted_values", "halves", "unit_length"]
