"""The octave of an open string under the fourth finger, where a light touch would do."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rules.check.rule import Finding, Outcome, Rule, Scope, Severity
from rules.hand.harmonics import PARTIALS
from rules.plan.plan import FingeredNote, Plan

WHY = """The octave of an open string lies at half its length, where it sounds as a harmonic when it is only touched.
Under a fourth finger, above all one that reaches out of the hand for it, the light touch is the usual choice (common
practice): no strain, no pressing, in tune by itself. It has another colour and no vibrato, so the player decides."""


@dataclass(frozen=True, slots=True)
class Options:
    """This rule has no options."""


def check(plan: Plan, _options: Options) -> Iterator[Finding]:
    """Offer single stopped notes that bear no mark of their own; trilled and printed notes are left alone."""
    for fingered in plan.fingered_notes:
        if not _lies_at_half(plan, fingered) or fingered.note.techniques or fingered.note.printed:
            continue
        grip = plan.grip(fingered.event)
        outcome = "reached" if grip is not None and plan.counts.stretched[fingered.event] else "touched"
        string = plan.passage.instrument.string_name(fingered.stop.string) if fingered.stop else ""
        yield RULE.found(outcome, plan, fingered.event, pitch=fingered.note.pitch.name, string=string)


def _lies_at_half(plan: Plan, fingered: FingeredNote) -> bool:
    stop, alone = fingered.stop, len(plan.event(fingered.event).notes) == 1
    return alone and stop is not None and stop.finger == 4 and stop.semitones == PARTIALS[2]


RULE = Rule(
    id="octave-at-half-the-string",
    title="A fourth finger may be only touched, as a harmonic",
    rationale=WHY,
    scope=Scope.PROPOSED,
    options=Options(),
    check=check,
    outcomes={
        "touched": Outcome(
            "$pitch lies at half the $string string: a light touch of the fourth finger sounds it as a harmonic",
            Severity.NOTE,
        ),
        "reached": Outcome(
            "$pitch lies at half the $string string: a reaching fourth finger does best to touch it, as a harmonic",
            Severity.NOTE,
        ),
    },
)
