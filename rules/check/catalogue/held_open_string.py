"""A held note on an open string."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.check.rule import Finding, Outcome, Rule, Scope, Severity
from rules.music.passage import HELD_SECONDS
from rules.plan.plan import Plan

WHY = """An open string cannot vibrate; held, it sticks out of the line. The same note under a finger, best
the second or third, carries the tone on (S. George, The Instrumentalist, October 2012)."""


@dataclass(frozen=True, slots=True)
class Options:
    """What counts as held."""

    seconds: Annotated[float, "a note at least this long is held"] = HELD_SECONDS


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report held single notes on open strings that a finger could sound; the lowest string has no other way."""
    for index, event in enumerate(plan.passage.events):
        grip = plan.grip(index)
        if grip is None or len(grip.stops) > 1 or event.seconds < options.seconds or not grip.is_open:
            continue
        if grip.stops[0].string < len(plan.passage.instrument.open_strings):
            yield RULE.found("held", plan, index, pitch=event.notes[0].pitch.name, seconds=round(event.seconds, 1))


RULE = Rule(
    id="held-open-string",
    title="A held note falls on an open string",
    rationale=WHY,
    scope=Scope.BOTH,
    options=Options(),
    check=check,
    outcomes={"held": Outcome("$pitch is held for $seconds s on an open string", Severity.NOTE)},
)
