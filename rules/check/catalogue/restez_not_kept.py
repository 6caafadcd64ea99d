"""The part says stay, and the notes say go."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.marks.printed_marks import has_mark, is_reachable
from rules.plan.plan import Plan

WHY = """Restez asks the hand to stay where it is. If one of the next notes does not lie in that position, or
a mark soon after leads away, the word stands at the wrong place."""


@dataclass(frozen=True, slots=True)
class Options:
    """How long the word binds."""

    notes: Annotated[int, "events after the word for which the hand is expected to stay"] = 4


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report words after which the hand cannot stay, or does not in this plan."""
    for index, event in enumerate(plan.passage.events):
        grip = plan.grip(index)
        if not event.restez or grip is None:
            continue
        for later in range(index + 1, min(index + options.notes, len(plan.passage.events) - 1) + 1):
            following, now = plan.event(later), plan.grip(later)
            pitch = following.notes[-1].pitch.name
            if not is_reachable(following, plan.passage.instrument, grip.position):
                yield RULE.found("cannot-stay", plan, index, later, position=grip.position, pitch=pitch)
                break
            if now is not None and now.position != grip.position:
                outcome = "led-away" if has_mark(following) else "moved"
                yield RULE.found(outcome, plan, index, later, position=grip.position, pitch=pitch)
                break


RULE = Rule(
    id="restez-not-kept",
    title="The hand is told to stay and cannot",
    rationale=WHY,
    scope=Scope.PROPOSED,
    options=Options(),
    check=check,
    unseen="no collection at hand prints the word",
    outcomes={
        "cannot-stay": Outcome(
            "restez in position $position, which does not have $pitch", Severity.WARNING, Concern.PRINT
        ),
        "led-away": Outcome(
            "restez in position $position, but the mark on $pitch leads away", Severity.WARNING, Concern.PRINT
        ),
        "moved": Outcome("restez in position $position, which the plan leaves for $pitch", Severity.NOTE),
    },
)
