"""A printed finger or string on which the written note does not exist."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.hand.grip import EVERY_POSITION, grips_for
from rules.marks.printed_marks import is_harmonic, is_reachable, reachable_stops
from rules.music.instrument import Instrument
from rules.music.passage import Event, Note
from rules.plan.plan import Plan

WHY = """A printed 0 on a note that is no open string, a 4 where the fourth finger would lie behind the nut, a
string on which the note would be too low: the player finds the slip at the stand, in time that costs more
than proof-reading."""


@dataclass(frozen=True, slots=True)
class Options:
    """This rule has no options."""


def check(plan: Plan, _options: Options) -> Iterator[Finding]:
    """Report marks that no stop of the note agrees with; harmonics are left alone, being touched and not stopped."""
    instrument = plan.passage.instrument
    for index, event in enumerate(plan.passage.events):
        for note in event.notes:
            if note.printed and not is_harmonic(note) and note.pitch.midi >= instrument.lowest.midi:
                yield from _on_note(plan, index, note)
        begins = event.string is not None and (not index or plan.event(index - 1).string != event.string)
        if begins and not any(reachable_stops(note, instrument, strings=(event.string or 0,)) for note in event.notes):
            pitch = event.notes[-1].pitch.name
            yield RULE.found("string-in-words", plan, index, pitch=pitch, number=event.string or 0)
        if _not_in_position(event, instrument):
            yield RULE.found("position", plan, index, pitch=event.notes[0].pitch.name, position=event.position or 0)


def _on_note(plan: Plan, index: int, note: Note) -> Iterator[Finding]:
    instrument, event = plan.passage.instrument, plan.event(index)
    for finger in note.printed.fingers:
        if not reachable_stops(note, instrument, fingers=(finger,)) and not _belongs_to_another(
            finger, note, event, plan
        ):
            outcome = "open" if finger == 0 else "finger"
            yield RULE.found(outcome, plan, index, pitch=note.pitch.name, finger=finger)
    for string in note.printed.strings:
        if not reachable_stops(note, instrument, strings=(string,)):
            yield RULE.found("string", plan, index, pitch=note.pitch.name, number=string)


def _not_in_position(event: Event, instrument: Instrument) -> bool:
    """True if the words above a note name a position that does not have it."""
    if event.position is None or any(is_harmonic(note) for note in event.notes):
        return False
    # The hand of a chord is named although one of its fingers stands outside the frame.
    held = grips_for(event.pitches, instrument, frozenset({event.position}), True)
    return not held and any(is_reachable(event, instrument, position) for position in EVERY_POSITION)


def _belongs_to_another(finger: int, note: Note, event: Event, plan: Plan) -> bool:
    """In a chord some programs hang all fingers on one note: what another note can use is no slip."""
    return any(
        other is not note and reachable_stops(other, plan.passage.instrument, fingers=(finger,))
        for other in event.notes
    )


RULE = Rule(
    id="finger-cannot-sound-note",
    title="A printed mark cannot sound the written note",
    rationale=WHY,
    scope=Scope.PRINTED,
    options=Options(),
    check=check,
    unseen="fingered editions at hand have no such slip",
    outcomes={
        "finger": Outcome("finger $finger is printed, but reaches $pitch on no string", Severity.ERROR, Concern.PRINT),
        "open": Outcome("$pitch is printed as an open string, and there is none", Severity.ERROR, Concern.PRINT),
        "position": Outcome(
            "position $position is printed at $pitch, and does not have it", Severity.ERROR, Concern.PRINT
        ),
        "string-in-words": Outcome(
            "$pitch does not exist on string $number, which the words ask for", Severity.ERROR, Concern.PRINT
        ),
        "string": Outcome("$pitch does not exist on string $number, which is printed", Severity.ERROR, Concern.PRINT),
    },
)
