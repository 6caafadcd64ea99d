"""A printed mark that says nothing to a violinist's left hand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.plan.plan import Plan

WHY = """Every printed mark has a meaning or is a misprint. A 5, a letter, a thumb, a string that the instrument does
not have: the player stops and asks, and a program that plans the hand would have to leave the mark out without a
word."""


@dataclass(frozen=True, slots=True)
class Options:
    """This rule has no options."""


def check(plan: Plan, _options: Options) -> Iterator[Finding]:
    """Report what is printed on a note or above it and cannot be read."""
    for index, event in enumerate(plan.passage.events):
        for text in event.unread:
            yield RULE.found("words", plan, index, words=text)
        for note in event.notes:
            for mark in note.printed.unread:
                if mark:
                    yield RULE.found("mark", plan, index, pitch=note.pitch.name, mark=mark)
                else:
                    yield RULE.found("empty", plan, index, pitch=note.pitch.name)


RULE = Rule(
    id="mark-not-understood",
    title="A printed mark means nothing here",
    rationale=WHY,
    scope=Scope.PRINTED,
    options=Options(),
    check=check,
    unseen="fingered editions at hand have no such slip",
    outcomes={
        "mark": Outcome(
            '"$mark" on $pitch is no finger, string or sign of the left hand', Severity.ERROR, Concern.PRINT
        ),
        "empty": Outcome("a fingering without a digit stands on $pitch", Severity.ERROR, Concern.PRINT),
        "words": Outcome(
            '"$words" looks like a finger, a string or a position, and names none', Severity.ERROR, Concern.PRINT
        ),
    },
)
