"""A fifth that one finger has to stop on two strings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated

from rules.check.rule import Finding, Outcome, Rule, Scope, Severity
from rules.hand.grip import Grip
from rules.plan.counted_figures import grip_pair
from rules.plan.plan import Plan

WHY = """A perfect fifth lies at the same place on neighbouring strings, so one finger has to be laid across
both. A fingertip is narrower than the two strings are apart, and a fifth shows every impurity: together it is
among the hardest intervals to tune."""


@dataclass(frozen=True, slots=True)
class Options:
    """What counts."""

    slowest: Annotated[float, "seconds; a fifth in turn is reported only after a note this short, or in a slur"] = 0.3


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report fifths sounded together, and in turn where the finger has no time to be set anew."""
    for index, event in enumerate(plan.passage.events):
        grip = plan.grip(index)
        finger = _together(grip) if grip else None
        if finger:
            yield RULE.found("together", plan, index, finger=finger)
            continue
        if index and (event.slurred or plan.event(index - 1).seconds <= options.slowest):
            finger = _in_turn(plan, index)
            if finger:
                yield RULE.found("in-turn", plan, index - 1, index, finger=finger)


def _together(grip: Grip) -> int | None:
    stops = grip.stops
    for low, high in pairwise(stops):
        if low.finger and low.finger == high.finger:
            return low.finger
    return None


def _in_turn(plan: Plan, index: int) -> int | None:
    pair = grip_pair(plan, index)
    if pair is None or pair[0].position != pair[1].position or len(pair[0].stops) > 1 or len(pair[1].stops) > 1:
        return None
    a, b = pair[0].stops[0], pair[1].stops[0]
    laid = a.finger and a.finger == b.finger and abs(a.string - b.string) == 1 and a.semitones == b.semitones
    return a.finger if laid else None


RULE = Rule(
    id="fifth-across-two-strings",
    title="One finger is laid across two strings for a fifth",
    rationale=WHY,
    scope=Scope.BOTH,
    options=Options(),
    check=check,
    outcomes={
        "together": Outcome("finger $finger stops a fifth on two strings at once", Severity.WARNING),
        "in-turn": Outcome("finger $finger takes both notes of a fifth, one after the other", Severity.NOTE),
    },
)
