"""A chord that no hand holds."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.hand.chords import MOST_STOPS
from rules.hand.reach import everywhere
from rules.music.passage import Event, Note
from rules.plan.plan import Plan

WHY = """Every note of a double stop or chord needs a string of its own, neighbouring strings, and fingers
within one hand. What cannot be held has to be divided among players, broken or rewritten. Where two voices lie
too far apart for the level, the upper one goes on."""


@dataclass(frozen=True, slots=True)
class Options:
    """This rule has no options."""


def check(plan: Plan, _options: Options) -> Iterator[Finding]:
    """Report the notes that had to be left out of a chord; notes below the instrument are another rule's."""
    lowest = plan.passage.instrument.lowest.midi
    for index, event in enumerate(plan.passage.events):
        dropped = plan.route.options[index].dropped
        if not dropped or len(event.notes) < 2:
            continue
        left_out = [note.pitch.name for note in event.notes if note.id in dropped and note.pitch.midi >= lowest]
        if left_out:
            chord = " ".join(note.pitch.name for note in event.notes)
            outcome = _outcome(plan, event)
            yield RULE.found(outcome, plan, index, chord=chord, left_out=" ".join(left_out))


def _outcome(plan: Plan, event: Event) -> str:
    if len(event.notes) <= MOST_STOPS and everywhere(event.pitches, plan.passage.instrument):
        return "level"
    return "one-string" if _share_the_lowest(plan, event.notes) else "chord"


def _share_the_lowest(plan: Plan, notes: tuple[Note, ...]) -> bool:
    """True if two of the notes exist only on the lowest string."""
    second = plan.passage.instrument.open_pitch(len(plan.passage.instrument.open_strings) - 1)
    return sum(1 for note in notes if note.pitch.midi < second.midi) > 1


RULE = Rule(
    id="chord-not-held",
    title="A chord cannot be held",
    rationale=WHY,
    scope=Scope.PROPOSED,
    options=Options(),
    check=check,
    outcomes={
        "chord": Outcome("$chord cannot be held together: $left_out is left out", Severity.ERROR, Concern.PRINT),
        "one-string": Outcome(
            "two notes of $chord exist only on the lowest string: $left_out is left out", Severity.ERROR, Concern.PRINT
        ),
        "level": Outcome(
            "$chord does not lie under the hand within the level: $left_out is touched and let go", Severity.NOTE
        ),
    },
)
