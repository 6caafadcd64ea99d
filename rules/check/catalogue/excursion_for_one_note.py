"""The hand goes away and comes home for a single note."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.check.rule import Finding, Outcome, Rule, Scope, Severity
from rules.marks.printed_marks import has_mark, is_reachable
from rules.music.passage import UNBOUND_REST
from rules.plan.plan import Plan, Span

WHY = """Two shifts for one note cost more than they give, unless the note cannot be had otherwise: then the
player should at least know that the whole excursion serves this note (common practice: fewer moves of the
hand are an aim)."""


@dataclass(frozen=True, slots=True)
class Options:
    """What counts."""

    longest: Annotated[float, "seconds; an excursion for a longer note is worth its shifts"] = 2.0


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report single stopped notes between a shift away and the shift back; a rest or a mark is reason enough."""
    for before, away, after in zip(plan.spans, plan.spans[1:], plan.spans[2:], strict=False):
        if before.position != after.position:
            continue
        event = _only_stopped(plan, away)
        if event is None or plan.event(event).seconds > options.longest or has_mark(plan.event(event)):
            continue
        if _has_rest(plan, _free_from(plan, away.first), after.first):
            continue
        outcome = "avoidable" if is_reachable(plan.event(event), plan.passage.instrument, before.position) else "forced"
        pitch = plan.event(event).notes[-1].pitch.name
        yield RULE.found(outcome, plan, event, pitch=pitch, position=away.position, home=before.position)


def _only_stopped(plan: Plan, span: Span) -> int | None:
    stopped = []
    for index in range(span.first, span.last + 1):
        grip = plan.grip(index)
        if grip is not None and not grip.is_open:
            stopped.append(index)
    return stopped[0] if len(stopped) == 1 else None


def _free_from(plan: Plan, first: int) -> int:
    """The first of the open strings before an event, from which on the hand may move; without any, the event."""
    while first and (grip := plan.grip(first - 1)) is not None and grip.is_open:
        first -= 1
    return first


def _has_rest(plan: Plan, first: int, last: int) -> bool:
    return any(plan.event(index).rest >= UNBOUND_REST for index in range(first, last + 1))


RULE = Rule(
    id="excursion-for-one-note",
    title="The hand leaves and returns for a single note",
    rationale=WHY,
    scope=Scope.PROPOSED,
    options=Options(),
    check=check,
    outcomes={
        "avoidable": Outcome(
            "to position $position and back for $pitch, which position $home has too", Severity.WARNING
        ),
        "forced": Outcome("to position $position and back for $pitch alone", Severity.NOTE),
    },
)
