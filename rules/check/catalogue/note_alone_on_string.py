"""One quick note on another string, there and back."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.check.rule import Finding, Outcome, Rule, Scope, Severity
from rules.hand.grip import Grip, grips_for
from rules.plan.counted_figures import grip_pair
from rules.plan.plan import Plan

WHY = """No note should be orphaned on a string (R. Smith, "Planning Fingerings"): the bow swings over and
back for a single note, mostly an open string for which the fourth finger was at hand."""


@dataclass(frozen=True, slots=True)
class Options:
    """What counts."""

    slowest: Annotated[float, "seconds; a longer note is worth its string, unless it is slurred"] = 0.25


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report single notes between two on one other string, where the hand as it stands has the note on that string."""
    for index in range(1, len(plan.passage.events) - 1):
        event, after = plan.event(index), plan.event(index + 1)
        quick = event.seconds <= options.slowest or (event.slurred and after.slurred)
        if len(event.notes) != 1 or not quick:
            continue
        before, following = grip_pair(plan, index), grip_pair(plan, index + 1)
        if before is None or following is None:
            continue
        neighbours = _only_string(before[0]), _only_string(following[1])
        here = _only_string(before[1])
        if neighbours[0] is None or neighbours[0] != neighbours[1] or here in (None, neighbours[0]):
            continue
        grips = grips_for((event.notes[0].pitch,), plan.passage.instrument, frozenset({before[0].position}))
        if any(g.stops[0].string == neighbours[0] and not g.excess for g in grips):
            string = plan.passage.instrument.string_name(neighbours[0])
            yield RULE.found("alone", plan, index, pitch=event.notes[0].pitch.name, other=string)


def _only_string(grip: Grip) -> int | None:
    return grip.stops[0].string if len(grip.stops) == 1 else None


RULE = Rule(
    id="note-alone-on-string",
    title="A quick note stands alone on its string",
    rationale=WHY,
    scope=Scope.BOTH,
    options=Options(),
    check=check,
    outcomes={"alone": Outcome("$pitch crosses over for one note, and lies on the $other string too", Severity.NOTE)},
)
