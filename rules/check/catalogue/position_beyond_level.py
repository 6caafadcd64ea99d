"""A mark that asks for a position the player has not learned."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.plan.plan import Plan
from rules.text import Name

WHY = """A book promises the positions that it teaches. A printed finger, string or position that needs
another one breaks that promise, although the note itself could be had within it."""


@dataclass(frozen=True, slots=True)
class Options:
    """This rule has no options."""


def check(plan: Plan, _options: Options) -> Iterator[Finding]:
    """Report each span outside the level that printed marks ask for, and no note forces."""
    for span in plan.spans:
        if span.position in plan.level.positions:
            continue
        asked = []
        for index in range(span.first, span.last + 1):
            grip, option = plan.grip(index), plan.route.options[index]
            if grip is not None and not grip.is_open and not option.beyond:
                asked.append(index)
        if asked:
            yield RULE.found(
                "asked",
                plan,
                asked[0],
                asked[-1],
                position=span.position,
                level=Name.for_thing(plan.level.name, plan.level),
            )


RULE = Rule(
    id="position-beyond-level",
    title="A printed mark asks for a position beyond the level",
    rationale=WHY,
    scope=Scope.PROPOSED,
    options=Options(),
    check=check,
    outcomes={
        "asked": Outcome(
            "the marks ask for position $position, which level $level does not have", Severity.ERROR, Concern.LEVEL
        )
    },
)
