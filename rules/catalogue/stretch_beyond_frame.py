"""A finger that has to leave the frame of the hand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.hand import frame_excess
from rules.plan import Plan
from rules.rule import Finding, Outcome, Rule, Scope, Severity

WHY = """From the first to the fourth finger the relaxed hand spans a perfect fourth. A finger that reaches further pulls the
others out of tune, and in a small hand it hurts; often another position or string removes the stretch (common practice)."""


@dataclass(frozen=True, slots=True)
class Options:
    """What counts as a stretch."""

    wide: Annotated[int, "a finger this many semitones outside the frame is a wide stretch"] = 2


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report every event for which a finger stands outside the frame of its position."""
    for index in range(len(plan.passage.events)):
        grip = plan.grip(index)
        if grip is None or not grip.excess:
            continue
        for stop in grip.stops:
            excess = frame_excess(stop.semitones, stop.finger, grip.position) if stop.finger else 0
            if excess:
                outcome = "wide" if abs(excess) >= options.wide else "extension"
                way = "up" if excess > 0 else "back"
                yield RULE.found(outcome, plan, index, finger=stop.finger, semitones=abs(excess), way=way)
                break


RULE = Rule(
    id="stretch-beyond-frame",
    title="A finger leaves the frame of the hand",
    rationale=WHY,
    scope=Scope.BOTH,
    options=Options(),
    check=check,
    outcomes={
        "extension": Outcome("finger $finger reaches $way by $semitones semitone", Severity.NOTE),
        "wide": Outcome("finger $finger stretches $way by $semitones semitones", Severity.WARNING),
    },
)
