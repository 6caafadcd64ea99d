"""A chord that no hand holds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rules.plan import Plan
from rules.rule import Finding, Outcome, Rule, Scope, Severity

WHY = """Every note of a double stop or chord needs a string of its own, neighbouring strings, and fingers within one hand.
What cannot be held has to be divided among players, broken or rewritten."""


@dataclass(frozen=True, slots=True)
class Options:
    """This rule has no options."""


def check(plan: Plan, _options: Options) -> Iterator[Finding]:
    """Report the notes that had to be left out of a chord."""
    lowest = plan.passage.instrument.lowest.midi
    for index, event in enumerate(plan.passage.events):
        dropped = plan.route.options[index].dropped
        left_out = [note.pitch.name for note in event.notes if note.id in dropped and note.pitch.midi >= lowest]
        if not left_out:
            continue
        chord = " ".join(note.pitch.name for note in event.notes)
        outcome = "chord" if len(event.notes) > 1 else "note"
        yield RULE.found(outcome, plan, index, chord=chord, left_out=" ".join(left_out))


RULE = Rule(
    id="chord-not-held",
    title="A chord cannot be held",
    rationale=WHY,
    scope=Scope.PROPOSED,
    options=Options(),
    check=check,
    outcomes={
        "chord": Outcome("$chord cannot be held together: $left_out is left out", Severity.ERROR),
        "note": Outcome("$left_out lies beyond the fingerboard", Severity.ERROR),
    },
)
