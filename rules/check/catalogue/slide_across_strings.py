"""A printed slide between notes on different strings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.marks.printed_marks import reachable_stops
from rules.music.passage import Technique
from rules.plan.plan import Plan

WHY = """A slide or glissando is one finger gliding on one string. Where the two notes share no string, or are
fingered on two, the line cannot be played as it is drawn."""


@dataclass(frozen=True, slots=True)
class Options:
    """This rule has no options."""


def check(plan: Plan, _options: Options) -> Iterator[Finding]:
    """Report slides between neighbouring single notes; each note ends at most one slide here."""
    index = 1
    while index < len(plan.passage.events):
        start, goal = plan.event(index - 1), plan.event(index)
        ends = [e.notes[0] for e in (start, goal) if len(e.notes) == 1 and Technique.GLISSANDO in e.notes[0].techniques]
        if len(ends) < 2:
            index += 1
            continue
        strings = [
            {
                stop.string
                for stop, _ in reachable_stops(
                    note, plan.passage.instrument, note.printed.fingers, note.printed.strings
                )
            }
            for note in ends
        ]
        pitches = {"start": ends[0].pitch.name, "goal": ends[1].pitch.name}
        if all(strings) and not strings[0] & strings[1]:
            yield RULE.found("no-string", plan, index - 1, index, **pitches)
        else:
            a, b = plan.by_note[ends[0].id].stop, plan.by_note[ends[1].id].stop
            if a and b and a.string != b.string:
                yield RULE.found("planned", plan, index - 1, index, **pitches)
        index += 2


RULE = Rule(
    id="slide-across-strings",
    title="A slide leads to another string",
    rationale=WHY,
    scope=Scope.PROPOSED,
    options=Options(),
    check=check,
    unseen="no string part at hand prints a slide",
    outcomes={
        "no-string": Outcome(
            "no string has both $start and $goal, between which a slide is printed", Severity.ERROR, Concern.PRINT
        ),
        "planned": Outcome("the slide from $start to $goal needs one string; say which", Severity.NOTE),
    },
)
