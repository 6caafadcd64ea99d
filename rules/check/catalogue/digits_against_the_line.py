"""Printed digits that go against the line of the notes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.check.bar_slips import BarSlip, bar_slips
from rules.check.digit_slips import Evidence, Slip, slips
from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.plan.plan import Plan

WHY = """In one position the higher note of a string lies under the higher finger. Two digits that were exchanged,
or one that slipped, send the hand away and back for nothing: the hand that the digits around them describe has these
notes under other fingers. The digits or notes of a whole bar may slip as well, so that they fit one another and nothing
around them. How odd that is depends on the part, and on what like places in it carry; where it may well
be meant it is asked as a question."""


@dataclass(frozen=True, slots=True)
class Options:
    """How sure a slip has to be."""

    query: Annotated[float, "evidence from which a digit is asked about"] = 3.9
    sure: Annotated[float, "evidence from which it is taken for a slip"] = 6.5
    notes: Annotated[float, "evidence from which the notes of a whole bar are asked about"] = 4.8


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report exchanged digits, single slips and strings, and whole bars that slipped."""
    if not any(note.printed for note in plan.passage.notes):
        return
    evidence = Evidence(plan.passage)
    if not evidence.line.digits:
        return
    bars = list(bar_slips(evidence, options.query, options.notes))
    single = []
    for slip in slips(evidence, options.query):
        around = [bar for bar in bars if bar.first <= slip.events[-1] and bar.last >= slip.events[0]]
        if all(slip.evidence >= bar.evidence for bar in around):
            single.append(slip)
            bars = [bar for bar in bars if bar not in around]
    for slip in sorted(single, key=lambda slip: slip.events):
        outcome, facts = _told(plan, slip)
        if slip.evidence < options.sure:
            outcome += "-perhaps"
        yield RULE.found(outcome, plan, slip.events[0], slip.events[-1], **facts)
    for bar in bars:
        yield RULE.found(_outcome(bar), plan, bar.first, bar.last)


def _outcome(bar: BarSlip) -> str:
    if not bar.fingers:
        return "bar-notes"
    return "bar-digits-low" if bar.fingers > 0 else "bar-digits-high"


def _told(plan: Plan, slip: Slip) -> tuple[str, dict[str, int | str]]:
    pitch = plan.event(slip.events[0]).notes[0].pitch.name
    if slip.string:
        return "string", {"pitch": pitch, "number": slip.string}
    if len(slip.fingers) > 1:
        return "swapped", {"one": slip.fingers[0], "other": slip.fingers[1]}
    return "slipped", {"pitch": pitch, "finger": slip.fingers[0], "meant": slip.meant}


RULE = Rule(
    id="digits-against-the-line",
    title="Printed digits go against the line of the notes",
    rationale=WHY,
    scope=Scope.PRINTED,
    options=Options(),
    check=check,
    outcomes={
        "swapped": Outcome(
            "fingers $one and $other look exchanged: the other way round the hand stays",
            Severity.WARNING,
            Concern.PRINT,
        ),
        "swapped-perhaps": Outcome(
            "are fingers $one and $other exchanged? the other way round the hand would stay",
            Severity.NOTE,
            Concern.PRINT,
        ),
        "string": Outcome(
            "string $number on $pitch calls the hand away and back; on another string it stays",
            Severity.WARNING,
            Concern.PRINT,
        ),
        "string-perhaps": Outcome(
            "is string $number on $pitch meant? on another string the hand would stay",
            Severity.NOTE,
            Concern.PRINT,
        ),
        "slipped": Outcome(
            "finger $finger on $pitch calls the hand away and back; under finger $meant it stays",
            Severity.WARNING,
            Concern.PRINT,
        ),
        "slipped-perhaps": Outcome(
            "is finger $finger on $pitch meant? under finger $meant the hand would stay",
            Severity.NOTE,
            Concern.PRINT,
        ),
        "bar-digits-low": Outcome(
            "are all digits of this bar a finger too low? a finger higher the hand would stay",
            Severity.NOTE,
            Concern.PRINT,
        ),
        "bar-digits-high": Outcome(
            "are all digits of this bar a finger too high? a finger lower the hand would stay",
            Severity.NOTE,
            Concern.PRINT,
        ),
        "bar-notes": Outcome(
            "do the notes of this bar stand in the right clef and octave? their digits call the hand away and back",
            Severity.NOTE,
            Concern.PRINT,
        ),
    },
)
