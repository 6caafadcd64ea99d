"""A note printed as an open string and with a finger."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.plan.plan import Plan

WHY = """Both 0 and 4 on one note leave the choice that a fingering is printed to make. In a unison double
stop both are right; on a single note one of them is left over from another edition."""


@dataclass(frozen=True, slots=True)
class Options:
    """This rule has no options."""


def check(plan: Plan, _options: Options) -> Iterator[Finding]:
    """Report single notes that carry a 0 or the open-string sign and a finger."""
    for index, event in enumerate(plan.passage.events):
        note = event.notes[0] if len(event.notes) == 1 else None
        if note is not None and 0 in note.printed.fingers and any(note.printed.fingers):
            finger = next(f for f in note.printed.fingers if f)
            yield RULE.found("both", plan, index, pitch=note.pitch.name, finger=finger)


RULE = Rule(
    id="note-marked-open-and-stopped",
    title="A note is marked open and stopped",
    rationale=WHY,
    scope=Scope.PRINTED,
    options=Options(),
    check=check,
    unseen="fingered editions at hand have no such slip",
    outcomes={"both": Outcome("$pitch is printed both open and with finger $finger", Severity.WARNING, Concern.PRINT)},
)
