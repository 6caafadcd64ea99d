"""A note that the player's level does not reach."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.plan.plan import Plan

WHY = """A part is chosen for a player who knows certain positions. A note that none of them reaches cannot be
played by that player as written; it is planned in the lowest position that reaches it, so that the teacher
sees what is missing. Notes beside it may go along."""


@dataclass(frozen=True, slots=True)
class Options:
    """This rule has no options."""


def check(plan: Plan, _options: Options) -> Iterator[Finding]:
    """Report every event that the level lacks, and every run of others that is taken in another position with it."""
    along: list[int] = []
    for index in range(len(plan.passage.events) + 1):
        outside = index < len(plan.passage.events) and _is_outside(plan, index)
        if along and not (outside and not plan.route.options[index].beyond):
            yield _found("along", plan, along[0], along[-1])
            along = []
        if outside and plan.route.options[index].beyond:
            yield _found("beyond", plan, index, index)
        elif outside and plan.route.options[index].follows:
            along.append(index)


def _is_outside(plan: Plan, index: int) -> bool:
    grip = plan.grip(index)
    return grip is not None and not grip.is_open and grip.position not in plan.level.positions


def _found(outcome: str, plan: Plan, first: int, last: int) -> Finding:
    grip = plan.grip(first)
    highest = max(plan.event(first).notes, key=lambda note: note.pitch.midi)
    position = grip.position if grip else 0
    return RULE.found(outcome, plan, first, last, pitch=highest.pitch.name, position=position, level=plan.level.name)


RULE = Rule(
    id="note-outside-level",
    title="A note lies outside the level",
    rationale=WHY,
    scope=Scope.PROPOSED,
    options=Options(),
    check=check,
    outcomes={
        "beyond": Outcome(
            "$pitch lies beyond level $level; it is taken in position $position", Severity.ERROR, Concern.LEVEL
        ),
        "along": Outcome(
            "$pitch is taken in position $position, beyond level $level, for the sake of the notes around it",
            Severity.NOTE,
            Concern.LEVEL,
        ),
    },
)
