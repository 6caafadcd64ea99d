"""A double stop or chord that can be held, but not with ease."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.check.rule import Finding, Outcome, Rule, Scope, Severity
from rules.hand.grip import Grip, Stop
from rules.plan.plan import Plan
from rules.text import english

WHY = """A grip may be possible and still be a strain: fingers further apart than the relaxed hand sets them,
or the little finger on the lower string with the first beside it on the upper one, where the hand has to turn
in (common practice: unisons and seconds under 4 and 1)."""

RELAXED = {1: 2, 2: 4, 3: 5}
"""Widest span in semitones between two fingers that lie 1, 2 or 3 apart in a relaxed hand (common practice)."""


@dataclass(frozen=True, slots=True)
class Options:
    """What counts as awkward."""

    wide: Annotated[int, "semitones beyond the relaxed span"] = 1
    crossed: Annotated[int, "the lower string's finger is this many higher than the upper string's"] = 3


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report the most awkward pair of fingers of every grip."""
    for index in range(len(plan.passage.events)):
        grip = plan.grip(index)
        if grip is None or len(grip.stops) < 2:
            continue
        stopped = [stop for stop in grip.stops if stop.finger]
        pairs = [(low, high) for i, low in enumerate(stopped) for high in stopped[i + 1 :]]
        wide = max(((_beyond(a, b), a, b) for a, b in pairs), key=lambda found: found[0], default=None)
        if wide is not None and wide[0] >= options.wide:
            fingers = english("{low} and {high}", low=wide[1].finger, high=wide[2].finger)
            yield RULE.found("wide", plan, index, chord=_names(plan, grip), fingers=fingers, semitones=wide[0])
        elif any(_lower(a, b) >= options.crossed for a, b in pairs):
            yield RULE.found("crossed", plan, index, chord=_names(plan, grip))


def _names(plan: Plan, grip: Grip) -> str:
    """The notes of a grip, from the lowest."""
    return " ".join(stop.pitch(plan.passage.instrument).name for stop in grip.stops)


def _beyond(a: Stop, b: Stop) -> int:
    """Semitones by which two fingers lie further apart than the relaxed hand sets them."""
    apart = abs(a.finger - b.finger)
    span = b.semitones - a.semitones if b.finger > a.finger else a.semitones - b.semitones
    return int(max(span - RELAXED[apart], 0)) if apart else 0


def _lower(a: Stop, b: Stop) -> int:
    """By how much the finger on the lower string is the higher one."""
    low, high = (a, b) if a.string > b.string else (b, a)
    return low.finger - high.finger


RULE = Rule(
    id="awkward-grip",
    title="A grip is held with strain",
    rationale=WHY,
    scope=Scope.BOTH,
    options=Options(),
    check=check,
    outcomes={
        "wide": Outcome("$chord: fingers $fingers stand $semitones semitone(s) too far apart", Severity.WARNING),
        "crossed": Outcome("$chord: the fourth finger lies on the lower string, the first on the upper", Severity.NOTE),
    },
)
