"""A held note under the fourth finger."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.check.rule import Finding, Outcome, Rule, Scope, Severity
from rules.music.passage import HELD_SECONDS
from rules.plan.plan import Plan

WHY = """The little finger is the weakest and the last to learn a vibrato. A note that is held asks for the
second or third finger where another position offers it (common practice)."""


@dataclass(frozen=True, slots=True)
class Options:
    """What counts as held."""

    seconds: Annotated[float, "a note at least this long is held"] = HELD_SECONDS


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report held single notes under the fourth finger."""
    for index, event in enumerate(plan.passage.events):
        grip = plan.grip(index)
        if grip is None or len(grip.stops) > 1 or event.seconds < options.seconds:
            continue
        if grip.stops[0].finger == 4:
            yield RULE.found("held", plan, index, pitch=event.notes[0].pitch.name, seconds=round(event.seconds, 1))


RULE = Rule(
    id="held-fourth-finger",
    title="A held note falls on the fourth finger",
    rationale=WHY,
    scope=Scope.BOTH,
    options=Options(),
    check=check,
    outcomes={"held": Outcome("$pitch is held for $seconds s by the fourth finger", Severity.NOTE)},
)
