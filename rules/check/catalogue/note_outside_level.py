"""A note that the player's level does not reach."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.plan.plan import Plan
from rules.text import Name

WHY = """A part is chosen for a player who knows certain positions. A note that none of them reaches cannot be
played by that player as written. It gets no finger, and the bars around it are planned as if it were not there."""


@dataclass(frozen=True, slots=True)
class Options:
    """This rule has no options."""


def check(plan: Plan, _options: Options) -> Iterator[Finding]:
    """Report every event that the level lacks: those left out of the plan, and those that a mark asks for."""
    for index, option in enumerate(plan.route.options):
        grip = plan.grip(index)
        if option.left_out:
            yield _found("left-out", plan, index, min(grip.position for grip in option.elsewhere))
        elif option.beyond and grip and not grip.is_open and grip.position not in plan.level.positions:
            yield _found("beyond", plan, index, grip.position)


def _found(outcome: str, plan: Plan, index: int, position: int) -> Finding:
    highest = max(plan.event(index).notes, key=lambda note: note.pitch.midi)
    return RULE.found(
        outcome,
        plan,
        index,
        index,
        pitch=highest.pitch.name,
        position=position,
        level=Name.for_thing(plan.level.name, plan.level),
    )


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
        "left-out": Outcome(
            "$pitch lies beyond level $level, so no finger is proposed; position $position has it",
            Severity.ERROR,
            Concern.LEVEL,
        ),
    },
)
