"""A finger that has to leave the frame of the hand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.check.rule import Finding, Outcome, Rule, Scope, Severity
from rules.hand.grip import Grip, frame_excess, is_stretched
from rules.plan.counted_figures import grip_pair
from rules.plan.plan import Plan
from rules.text import english

WHY = """From the first to the fourth finger the relaxed hand spans a perfect fourth. A finger that reaches further
pulls the others out of tune, and in a small hand it hurts; often another position or string removes the stretch
(common practice)."""

RELAXED = {1: 2, 2: 4, 3: 5}
"""Widest span in semitones between two fingers that lie 1, 2 or 3 apart in a relaxed hand (common practice)."""


@dataclass(frozen=True, slots=True)
class Options:
    """What counts as a stretch."""

    spread: Annotated[int, "semitones beyond the relaxed span between two notes in a row"] = 2
    slowest: Annotated[float, "seconds; after a longer note the hand opens at leisure, unless slurred"] = 0.5


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report fingers outside the frame of their position, and quick notes in a row that lie too far apart."""
    for index, event in enumerate(plan.passage.events):
        grip = plan.grip(index)
        if grip is None:
            continue
        if index and (event.slurred or plan.event(index - 1).seconds <= options.slowest):
            spread = _spread(plan, index)
            if spread >= options.spread:
                yield RULE.found("wide", plan, index - 1, index, semitones=spread)
        if not grip.stretches or (index and plan.grip(index - 1) == grip):
            continue  # nothing is stretched, or it is already
        yield from _reaching(plan, index, grip)


def _reaching(plan: Plan, index: int, grip: Grip) -> Iterator[Finding]:
    """The lowest stop of a grip that reaches out."""
    stop = next(stop for stop in grip.stops if is_stretched(stop, grip.position))
    excess = frame_excess(stop.semitones, stop.finger, grip.position)
    way_out = english("up") if stop.finger > 1 else english("back")
    if excess:
        yield RULE.found("extension", plan, index, finger=stop.finger, semitones=abs(excess), way=way_out)
    else:
        yield RULE.found("letter", plan, index, finger=stop.finger, way=way_out)


def _spread(plan: Plan, index: int) -> int:
    """Semitones by which two single stops in a row lie further apart than the relaxed hand sets their fingers."""
    pair = grip_pair(plan, index)
    if pair is None or pair[0].position != pair[1].position or len(pair[0].stops) > 1 or len(pair[1].stops) > 1:
        return 0
    a, b = pair[0].stops[0], pair[1].stops[0]
    apart = abs(a.finger - b.finger)
    if a.is_open or b.is_open or not apart:
        return 0
    span = b.semitones - a.semitones if b.finger > a.finger else a.semitones - b.semitones
    return max(int(span - RELAXED[apart]), 0)


RULE = Rule(
    id="stretch-beyond-frame",
    title="A finger leaves the frame of the hand",
    rationale=WHY,
    scope=Scope.BOTH,
    options=Options(),
    check=check,
    outcomes={
        "extension": Outcome("finger $finger reaches $way by $semitones semitone(s)", Severity.NOTE),
        "letter": Outcome("finger $finger reaches $way, to the letter beyond its own", Severity.NOTE),
        "wide": Outcome(
            "two notes in a row lie $semitones semitones too far apart for their fingers", Severity.WARNING
        ),
    },
)
