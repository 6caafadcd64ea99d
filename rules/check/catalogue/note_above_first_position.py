"""A note that first position does not reach."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.check.rule import Finding, Outcome, Rule, Scope, Severity
from rules.hand.grip import grips_for
from rules.plan.plan import Plan

WHY = """In first position the fourth finger ends on B5 on the top string of the violin (C6 when it is
stretched). Whatever lies higher needs a shift, and a player who has not learned one stops here."""


WITHIN = 5
"""Semitones above the open top string that first position has for certain (common practice: A5 on the violin)."""


@dataclass(frozen=True, slots=True)
class Options:
    """What counts."""

    count_extension: Annotated[bool, "report a note that the stretched fourth finger still reaches"] = True


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report notes that lie above first position."""
    within = plan.passage.instrument.open_pitch(1).midi + WITHIN
    for index, event in enumerate(plan.passage.events):
        highest = max(event.notes, key=lambda note: note.pitch.midi)
        if highest.pitch.midi <= within:
            continue
        grips = grips_for((highest.pitch,), plan.passage.instrument, frozenset({1}))
        if not grips:
            yield RULE.found("out-of-reach", plan, index, pitch=highest.pitch.name)
        elif options.count_extension and all(g.excess for g in grips):
            yield RULE.found("by-extension", plan, index, pitch=highest.pitch.name)


RULE = Rule(
    id="note-above-first-position",
    title="A note lies above first position",
    rationale=WHY,
    scope=Scope.HOME,
    options=Options(),
    check=check,
    outcomes={
        "out-of-reach": Outcome("$pitch lies above first position", Severity.WARNING),
        "by-extension": Outcome("$pitch is reached in first position only by stretching a finger", Severity.NOTE),
    },
)
