"""A left-hand pizzicato with no finger free to pluck."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.music.passage import Technique
from rules.plan.plan import Plan

WHY = """The left hand plucks with a finger above the one that stops the note. Under the fourth finger none is
left, so the note has to be plucked by the right hand or taken by a lower finger (common practice)."""


@dataclass(frozen=True, slots=True)
class Options:
    """This rule has no options."""


def check(plan: Plan, _options: Options) -> Iterator[Finding]:
    """Report notes to be plucked by the left hand that the fourth finger stops."""
    for fingered in plan.fingered_notes:
        if fingered.stop and fingered.stop.finger == 4 and Technique.LEFT_PIZZICATO in fingered.note.techniques:
            outcome = "printed" if fingered.note.printed.fingers == (4,) else "no-finger"
            yield RULE.found(outcome, plan, fingered.event, pitch=fingered.note.pitch.name)


RULE = Rule(
    id="left-pizzicato-without-finger",
    title="No finger is free for a left-hand pizzicato",
    rationale=WHY,
    scope=Scope.BOTH,
    options=Options(),
    check=check,
    unseen="no collection at hand has left-hand pizzicato",
    outcomes={
        "no-finger": Outcome("$pitch is stopped by the fourth finger and cannot be plucked", Severity.WARNING),
        "printed": Outcome(
            "finger 4 is printed on $pitch, which the left hand plucks: no finger is left to pluck it",
            Severity.ERROR,
            Concern.PRINT,
        ),
    },
)
