"""An ornament for which no finger is left."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rules.check.rule import Finding, Outcome, Rule, Scope, Severity
from rules.music.passage import Technique
from rules.plan.plan import Plan

WHY = """A trill needs the next finger for its upper note. Above the fourth there is none: the hand has to
move, or the third finger must take the main note from another position (common practice)."""


@dataclass(frozen=True, slots=True)
class Options:
    """This rule has no options."""


def check(plan: Plan, _options: Options) -> Iterator[Finding]:
    """Report trills and turns whose main note lies under the fourth finger."""
    for fingered in plan.fingered_notes:
        if fingered.stop is None or fingered.stop.finger != 4 or not fingered.note.techniques:
            continue
        if Technique.TRILL in fingered.note.techniques:
            yield RULE.found("trill", plan, fingered.event, pitch=fingered.note.pitch.name)
        elif Technique.TURN in fingered.note.techniques:
            yield RULE.found("turn", plan, fingered.event, pitch=fingered.note.pitch.name)


RULE = Rule(
    id="trill-on-fourth-finger",
    title="A trill falls on the fourth finger",
    rationale=WHY,
    scope=Scope.BOTH,
    options=Options(),
    check=check,
    outcomes={
        "trill": Outcome("the trill on $pitch falls on the fourth finger", Severity.WARNING),
        "turn": Outcome("the turn on $pitch falls on the fourth finger", Severity.NOTE),
    },
)
