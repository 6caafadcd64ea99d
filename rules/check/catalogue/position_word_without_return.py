"""A position in words that nothing ends."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.hand.grip import HOME_POSITION
from rules.marks.printed_marks import has_mark, is_reachable
from rules.plan.plan import Plan

WHY = """Words that name a position hold until something ends them. Where a later note lies outside that
position and neither a finger nor a position is printed, the player does not know which note is the first of
the new position."""


@dataclass(frozen=True, slots=True)
class Options:
    """What ends a position by itself."""

    rest: Annotated[float, "seconds of silence after which a position in words no longer binds"] = 2.0


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report the first note that the position in force does not have, if no mark stands between."""
    position, since = HOME_POSITION, 0
    for index, event in enumerate(plan.passage.events):
        if event.position is not None:
            position, since = event.position, index
            continue
        if position == HOME_POSITION:
            continue
        if has_mark(event) or event.string is not None or event.rest >= options.rest:
            position = HOME_POSITION
        elif not is_reachable(event, plan.passage.instrument, position):
            pitch = event.notes[-1].pitch.name
            yield RULE.found("no-return", plan, since, index, pitch=pitch, position=position)
            position = HOME_POSITION


RULE = Rule(
    id="position-word-without-return",
    title="A position in words has no end",
    rationale=WHY,
    scope=Scope.PRINTED,
    options=Options(),
    check=check,
    unseen="no collection at hand prints positions in words",
    outcomes={
        "no-return": Outcome(
            "position $position is printed and never ended, but does not have $pitch", Severity.WARNING, Concern.PRINT
        )
    },
)
