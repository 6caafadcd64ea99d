"""A note that the player's level does not reach."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rules.plan import Plan
from rules.rule import Finding, Outcome, Rule, Scope, Severity

WHY = """A part is chosen for a player who knows certain positions. A note that none of them reaches cannot be
played by that player as written; it is planned in the lowest position that reaches it, so that the teacher
sees what is missing."""


@dataclass(frozen=True, slots=True)
class Options:
    """This rule has no options."""


def check(plan: Plan, _options: Options) -> Iterator[Finding]:
    """Report every event for which other positions than the level's had to be used."""
    for index in range(len(plan.passage.events)):
        option, grip = plan.route.options[index], plan.grip(index)
        if option.beyond and grip is not None and grip.position not in plan.level.positions:
            highest = max(plan.event(index).notes, key=lambda note: note.pitch.midi)
            yield RULE.found(
                "beyond", plan, index, pitch=highest.pitch.name, position=grip.position, level=plan.level.name
            )


RULE = Rule(
    id="note-outside-level",
    title="A note lies outside the level",
    rationale=WHY,
    scope=Scope.PROPOSED,
    options=Options(),
    check=check,
    outcomes={"beyond": Outcome("$pitch needs position $position, which level $level does not have", Severity.ERROR)},
)
