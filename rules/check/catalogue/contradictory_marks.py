"""Marks that are possible one by one and not together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rules.check.rule import Finding, Outcome, Rule, Scope, Severity
from rules.marks.printed_marks import is_harmonic, reachable_stops
from rules.music.instrument import Instrument
from rules.music.passage import Event, Note
from rules.plan.plan import Plan

WHY = """A finger, a string and a position on one note must describe one stop. When they do not, the player
has to guess which of them the editor meant, and two desks guess differently."""


@dataclass(frozen=True, slots=True)
class Options:
    """This rule has no options."""


def check(plan: Plan, _options: Options) -> Iterator[Finding]:
    """Report the first contradiction of every event."""
    for index, event in enumerate(plan.passage.events):
        if len(event.notes) > 1:
            strings = [note.printed.strings[0] for note in event.notes if len(note.printed.strings) == 1]
            if len(set(strings)) < len(strings):
                yield RULE.found("one-string", plan, index)
                continue
        in_words = event.string is not None or event.position is not None
        for note in event.notes:
            if is_harmonic(note) or not (note.printed or in_words):
                continue
            outcome = _contradiction(note, event, plan.passage.instrument)
            if outcome:
                yield RULE.found(outcome, plan, index, pitch=note.pitch.name)
                break


def _contradiction(note: Note, event: Event, instrument: Instrument) -> str | None:
    """The pair of marks that cannot both hold; marks that are impossible by themselves are another rule's."""
    fingers, strings = note.printed.fingers, note.printed.strings
    words = () if event.string is None or strings or 0 in fingers else (event.string,)
    by_finger, by_string = (
        reachable_stops(note, instrument, fingers),
        reachable_stops(note, instrument, strings=strings or words),
    )
    if not by_finger or not by_string:
        return None
    if not reachable_stops(note, instrument, fingers, strings or words):
        return "finger-and-string"
    if event.position is None:
        return None
    if fingers and _away(by_finger, event.position):
        return "finger-and-position"
    return "string-and-position" if (strings or words) and _away(by_string, event.position) else None


def _away(found: tuple[tuple[object, tuple[int, ...]], ...], position: int) -> bool:
    """True if none of the stops lies in the position; an open string lies in all."""
    return all(reached and position not in reached for _, reached in found)


RULE = Rule(
    id="contradictory-marks",
    title="Printed marks contradict each other",
    rationale=WHY,
    scope=Scope.PRINTED,
    options=Options(),
    check=check,
    unseen="fingered editions at hand have no such slip",
    outcomes={
        "finger-and-string": Outcome(
            "$pitch does not lie under the printed finger on the printed string", Severity.ERROR
        ),
        "finger-and-position": Outcome("the finger on $pitch is not in the position in words", Severity.ERROR),
        "string-and-position": Outcome("$pitch on that string is not in the position in words", Severity.ERROR),
        "one-string": Outcome("two notes of the chord are marked for one string", Severity.ERROR),
    },
)
