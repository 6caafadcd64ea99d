"""Attributes in force: divisions, key, metre, transposition, tuning, and staves without normal notation."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from lxml.etree import _Element

from rules import LETTERS, Pitch

from ...errors import said
from .values import quantity, whole

_NO_STAFF_FOR_THE_HAND = ("TAB", "percussion", "jianpu")
_LARGEST_METRE = 256


@dataclass(frozen=True, slots=True)
class Attributes:
    """The attributes in force.

    `transpose` holds letters and semitones from written to sounding; `tuning` the open strings that a staff prescribes,
    as (line or string number, counted how, pitch).
    """

    divisions: Fraction = Fraction(1)
    fifths: int = 0
    time: tuple[int, int] = (4, 4)
    transpose: tuple[int, int] = (0, 0)
    staves: int = 1
    skipped_staves: frozenset[str] = frozenset()
    tuning: tuple[tuple[int, str, Pitch], ...] = ()
    remarks: tuple[str, ...] = ()

    def measure_ticks(self, per_quarter: int) -> int | Fraction:
        """Return how long a full measure is."""
        ticks = Fraction(self.time[0] * 4 * per_quarter, self.time[1])
        return ticks.numerator if ticks.denominator == 1 else ticks


def _fifths(element: _Element, before: Attributes) -> Attributes:
    fifths = element.find("fifths")
    if fifths is None:
        return before
    value = whole(fifths.text)
    return replace(before, fifths=max(-14, min(14, value)))


def _time(element: _Element, before: Attributes) -> Attributes:
    beats = [sum(whole(term) for term in (child.text or "").split("+")) for child in element.iterchildren("beats")]
    units = [whole(child.text) for child in element.iterchildren("beat-type")]
    if not beats or len(beats) != len(units):
        return before  # senza misura: bars are as long as what stands in them
    if any(not 0 < value <= _LARGEST_METRE for value in (*beats, *units)):
        raise ValueError(said("a metre with a number that is none"))
    unit = max(units)
    total = sum(Fraction(count * unit, each) for count, each in zip(beats, units, strict=True))
    return replace(before, time=(int(total), unit)) if total == int(total) else before


def _transpose(element: _Element, before: Attributes) -> Attributes:
    octaves = whole(element.findtext("octave-change") or "0")
    chromatic = quantity(element.findtext("chromatic") or "0")
    if chromatic.denominator != 1:
        raise ValueError(said("a transposition by less than a semitone"))
    diatonic = element.findtext("diatonic")
    letters = whole(diatonic) if diatonic else round(chromatic * 7 / 12)
    if element.find("double") is not None:
        octaves += 0  # doubled an octave away: this part still sounds where it is
    return replace(before, transpose=(letters + 7 * octaves, chromatic.numerator + 12 * octaves))


def _clef(element: _Element, before: Attributes) -> Attributes:
    staff, sign = element.get("number") or "1", (element.findtext("sign") or "").strip()
    if sign in _NO_STAFF_FOR_THE_HAND:
        return replace(before, skipped_staves=before.skipped_staves | {staff})
    return replace(before, skipped_staves=before.skipped_staves - {staff}) if before.skipped_staves else before


def open_string(element: _Element) -> Pitch:
    """Return the pitch of a `<staff-tuning>` or `<accord>`.

    Raises:
        ValueError: if it has no step and octave.
    """
    step = (element.findtext("tuning-step") or "").strip().upper()
    if len(step) != 1 or step not in LETTERS:
        raise ValueError(said("a string tuned to {step}", step=step or "?"))
    alter = quantity(element.findtext("tuning-alter") or "0")
    return Pitch(
        LETTERS.index(step) + 7 * whole(element.findtext("tuning-octave")),
        float(alter) if alter.denominator > 1 else int(alter),
    )


def _staff_details(element: _Element, before: Attributes) -> Attributes:
    if (element.findtext("staff-type") or "").strip() in ("ossia", "cue"):
        return replace(before, skipped_staves=before.skipped_staves | {element.get("number") or "1"})
    tuning = tuple(
        (whole(line.get("line")), "line", open_string(line)) for line in element.iterchildren("staff-tuning")
    )
    return replace(before, tuning=tuning) if tuning else before


def _measure_style(element: _Element, before: Attributes) -> Attributes:
    for child in element:
        if child.tag in ("measure-repeat", "beat-repeat") and child.get("type") == "start":
            return replace(
                before,
                remarks=(said("a sign repeats bars or beats that are not written out; they were read as silence"),),
            )
    return before


def _divisions(element: _Element, before: Attributes) -> Attributes:
    divisions = quantity(element.text)
    if divisions <= 0:
        raise ValueError(said("{n} divisions to a quarter", n=str(element.text)))
    return replace(before, divisions=divisions)


def _staves(element: _Element, before: Attributes) -> Attributes:
    return replace(before, staves=whole(element.text))


_READERS = {
    "divisions": _divisions,
    "key": _fifths,
    "time": _time,
    "staves": _staves,
    "clef": _clef,
    "staff-details": _staff_details,
    "transpose": _transpose,
    "measure-style": _measure_style,
}


def read_attributes(element: _Element, before: Attributes) -> Attributes:
    """Return what is in force after an `<attributes>` element.

    Raises:
        ValueError: if a number in it cannot be read.
    """
    now = replace(before, remarks=()) if before.remarks else before
    for child in element:
        reader = _READERS.get(child.tag)
        if reader:
            now = reader(child, now)
    return now
