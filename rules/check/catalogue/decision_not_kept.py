"""A printed mark that the plan has to go against, because of what stands around it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.marks.decisions import printed_decisions
from rules.plan.plan import Plan
from rules.plan.violations import ViolationCause, constraint_violations

WHY = """Every printed finger, string and position is a decision of the editor, and a plan goes against as few of them
as it can. Where it has to, although each mark is possible by itself, two marks exclude each other and the player has to
choose."""


@dataclass(frozen=True, slots=True)
class Options:
    """This rule has no options."""


def check(plan: Plan, _options: Options) -> Iterator[Finding]:
    """Report marks that are not kept because of others; a plan that was made without the marks says nothing."""
    decisions = printed_decisions(plan.passage)
    violations = constraint_violations(plan, decisions)
    broken = [each for each in violations if each.constraint.fingers or each.constraint.strings]
    if 2 * len(broken) > len(decisions):
        return
    told = -1
    for each in broken:
        if each.cause in (ViolationCause.ELSEWHERE, ViolationCause.CHORD) and each.event != told:
            told = each.event
            pitch = plan.by_note[each.note].note.pitch.name
            yield RULE.found("not-kept", plan, each.event, pitch=pitch)


RULE = Rule(
    id="decision-not-kept",
    title="A printed mark cannot be kept",
    rationale=WHY,
    scope=Scope.PROPOSED,
    options=Options(),
    check=check,
    unseen="fingered editions at hand have no such slip",
    outcomes={
        "not-kept": Outcome(
            "the mark on $pitch cannot be kept beside the other marks around it", Severity.WARNING, Concern.PRINT
        )
    },
)
