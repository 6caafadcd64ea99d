"""Marks that are possible one by one and not together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.hand.grip import fits_together, own_position
from rules.marks.printed_marks import is_harmonic, marked_positions, marks_fit_one_hand, reachable_stops
from rules.music.instrument import Instrument
from rules.music.passage import REST_FOR_A_SHIFT, Event, Note, Passage
from rules.plan.plan import Plan

WHY = """A finger, a string and a position on one note must describe one stop. When they do not, the player
has to guess which of them the editor meant, and two desks guess differently."""


_FIFTH, _FIFTH_LETTERS = 7, 4
SOON = 3
"""Events after a position in words within which a digit still has to agree with it."""


@dataclass(frozen=True, slots=True)
class Options:
    """This rule has no options."""


def check(plan: Plan, _options: Options) -> Iterator[Finding]:
    """Report the first contradiction of every event."""
    before: int | None = None
    named: int | None = None
    for index, event in enumerate(plan.passage.events):
        begins, before = event.string is not None and event.string != before, event.string
        found = _in_chord(plan, event) or _on_a_note(plan, event, begins=begins) or _after_words(plan, index, named)
        named = named if event.position is None else event.position
        if found is not None:
            outcome, pitch = found
            yield RULE.found(outcome, plan, index, pitch=pitch)


def _in_chord(plan: Plan, event: Event) -> tuple[str, str] | None:
    """What the marks of notes that sound together say against each other."""
    notes = event.notes
    if len(notes) > 1:
        chord = " ".join(note.pitch.name for note in notes)
        strings = [note.printed.strings[0] for note in notes if len(note.printed.strings) == 1]
        if len(set(strings)) < len(strings):
            return "one-string", chord
        if not marks_fit_one_hand(event, plan.passage.instrument):
            return "one-hand", chord
        if _fifth_under_two_fingers(notes):
            return "fifth", chord
    for note in notes:
        for id in event.held:
            held = plan.by_note[id].note
            if not _held_beside(held, note, plan.passage.instrument):
                return "held", f"{held.pitch.name} {note.pitch.name}"
    return None


def _fifth_under_two_fingers(notes: tuple[Note, ...]) -> bool:
    """True for a stopped perfect fifth with two digits: it lies at one place of two strings."""
    if len(notes) != 2 or any(is_harmonic(note) or len(note.printed.fingers) != 1 for note in notes):
        return False
    low, high = sorted(notes, key=lambda note: note.pitch.midi)
    fingers = {*low.printed.fingers, *high.printed.fingers}
    is_fifth = high.pitch.midi - low.pitch.midi == _FIFTH and high.pitch.letter - low.pitch.letter == _FIFTH_LETTERS
    return is_fifth and 0 not in fingers and len(fingers) > 1


def _held_beside(held: Note, note: Note, instrument: Instrument) -> bool:
    """True unless the digits of a held note and of one that moves below or above it exclude each other."""
    if is_harmonic(held) or is_harmonic(note) or held.pitch == note.pitch:
        return True
    if not held.printed.fingers or not note.printed.fingers:
        return True
    below = reachable_stops(held, instrument, held.printed.fingers, held.printed.strings)
    moving = reachable_stops(note, instrument, note.printed.fingers, note.printed.strings)
    if not below or not moving:
        return True
    return any(a.string != b.string and fits_together(a, b) for a, _ in below for b, _ in moving)


def _on_a_note(plan: Plan, event: Event, *, begins: bool) -> tuple[str, str] | None:
    hand = frozenset() if event.position is None or len(event.notes) < 2 else frozenset({event.position})
    if hand and marks_fit_one_hand(event, plan.passage.instrument, hand):
        # The word names the hand of a chord, though one of its fingers stands outside the frame.
        event = replace(event, position=None)
    in_words = event.string is not None or event.position is not None
    for note in event.notes:
        outcome = _two_of_a_kind(note, alone=len(event.notes) == 1)
        if outcome:
            return outcome, note.pitch.name
        if is_harmonic(note) or not (note.printed or in_words):
            continue
        outcome = _contradiction(note, event, plan.passage.instrument)
        if outcome is None and begins and note.printed.strings and event.string not in note.printed.strings:
            outcome = "string-and-words"
        if outcome is None and begins and _open_elsewhere(note, event, plan.passage.instrument):
            outcome = "finger-and-string"
        if outcome:
            return outcome, note.pitch.name
    return None


def _two_of_a_kind(note: Note, *, alone: bool) -> str | None:
    """Two fingers or two strings on one note; in a chord they may be those of other notes."""
    printed = note.printed
    if printed.rivals and alone and 0 not in printed.fingers:
        return "two-fingers"
    if printed.tied and not is_harmonic(note):
        return "tied"
    return "two-strings" if len(printed.strings) > 1 and alone else None


def _open_elsewhere(note: Note, event: Event, instrument: Instrument) -> bool:
    """True if words ask for a string and a nought on the same note for the open one of another."""
    if note.printed.fingers != (0,) or note.printed.strings or event.string is None:
        return False
    return all(stop.string != event.string for stop, _ in reachable_stops(note, instrument, (0,)))


def _after_words(plan: Plan, index: int, named: int | None) -> tuple[str, str] | None:
    """The first digit after a position in words, close behind and in the same breath, that is not in that position.

    Digits from the word on that all stand under their own letters in another position count as well.
    """
    passage = plan.passage
    position = plan.event(index).position
    if position is None:
        return None
    if words_over_other_fingers(passage, index, named):
        return "words-and-finger", plan.event(index).notes[0].pitch.name
    if any(note.printed.fingers for note in plan.event(index).notes):
        return None
    for later in range(index + 1, min(index + SOON, len(passage.events) - 1) + 1):
        event = plan.event(later)
        if event.position is not None or event.rest >= REST_FOR_A_SHIFT:
            return None
        here = marked_positions(event, passage.instrument)
        if here:
            return None if position in here else ("words-and-finger", event.notes[0].pitch.name)
    return None


def words_over_other_fingers(passage: Passage, index: int, named: int | None) -> bool:
    """Return True if the digits from a position in words on all stand under their own letters in another position.

    Each by itself could be a reach. Not so where the words before (`named`) named the same position: there it is said
    again to keep the hand; nor where the part leaves these notes to the player: then the hand has been thought of.
    """
    position = passage.events[index].position
    if not position or position == named:
        return False
    soon = range(index, index + SOON)
    plain = {later: found for later in soon if (found := _plain_positions(passage, index, later))}
    if not plain or any(position in found for found in plain.values()):
        return False
    notes = [passage.events[later].notes[0] for later in plain]
    fingers = {note.printed.fingers for note in notes}
    thought_of = all(note.ad_libitum for note in notes)
    return len(fingers) > 1 and bool(frozenset.intersection(*plain.values())) and not thought_of


def _plain_positions(passage: Passage, first: int, index: int) -> frozenset[int]:
    """Where the one digit of a note stands under its own letter; empty for others, and beyond the next word or rest."""
    if index >= len(passage.events):
        return frozenset()
    event = passage.events[index]
    others = (passage.events[later] for later in range(first + 1, index + 1))
    if len(event.notes) > 1 or any(other.position is not None or other.rest >= REST_FOR_A_SHIFT for other in others):
        return frozenset()
    note = event.notes[0]
    if is_harmonic(note) or len(note.printed.fingers) != 1:
        return frozenset()
    found = reachable_stops(note, passage.instrument, note.printed.fingers, note.printed.strings)
    return frozenset(own_position(stop.letters, stop.finger) for stop, _ in found if stop.finger)


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
            "$pitch does not lie under the printed finger on the printed string", Severity.ERROR, Concern.PRINT
        ),
        "finger-and-position": Outcome(
            "the finger on $pitch is not in the position in words", Severity.ERROR, Concern.PRINT
        ),
        "string-and-position": Outcome(
            "$pitch on that string is not in the position in words", Severity.ERROR, Concern.PRINT
        ),
        "one-string": Outcome("two notes of $pitch are marked for one string", Severity.ERROR, Concern.PRINT),
        "one-hand": Outcome("the marks on $pitch are in no one hand together", Severity.ERROR, Concern.PRINT),
        "held": Outcome("the fingers on $pitch cannot be down together", Severity.WARNING, Concern.PRINT),
        "string-and-words": Outcome(
            "$pitch is marked for one string by a number and for another by words", Severity.ERROR, Concern.PRINT
        ),
        "words-and-finger": Outcome(
            "a position is named, and the next finger, on $pitch, is not in it", Severity.WARNING, Concern.PRINT
        ),
        "fifth": Outcome(
            "the fifth $pitch lies under one finger, and two are printed", Severity.WARNING, Concern.PRINT
        ),
        "two-strings": Outcome("two strings are printed on $pitch", Severity.WARNING, Concern.PRINT),
        "tied": Outcome(
            "$pitch is tied, and the note it is tied to carries another finger", Severity.WARNING, Concern.PRINT
        ),
        "two-fingers": Outcome(
            "two fingers are printed on $pitch, and neither is in brackets", Severity.WARNING, Concern.PRINT
        ),
    },
)
