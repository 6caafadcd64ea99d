"""An ornament with nothing but the first finger for it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rules.check.rule import Finding, Outcome, Rule, Scope, Severity
from rules.music.passage import Technique
from rules.plan.plan import Plan

WHY = """A trill on an open string is made with the first finger beside the nut, unlike most others. It can be
played; who does not expect it begins with the wrong finger (common practice)."""


@dataclass(frozen=True, slots=True)
class Options:
    """This rule has no options."""


def check(plan: Plan, _options: Options) -> Iterator[Finding]:
    """Report trills whose main note is an open string."""
    for fingered in plan.fingered_notes:
        if fingered.stop is not None and fingered.stop.is_open and Technique.TRILL in fingered.note.techniques:
            yield RULE.found("trill", plan, fingered.event, pitch=fingered.note.pitch.name)


RULE = Rule(
    id="trill-on-open-string",
    title="A trill falls on an open string",
    rationale=WHY,
    scope=Scope.BOTH,
    options=Options(),
    check=check,
    outcomes={"trill": Outcome("the trill on $pitch falls on an open string", Severity.NOTE)},
)
