"""What is decided before the planner starts: by marks in the part, and by the player; and what could not be kept.

What does not belong here: weighing (the planner breaks as few decisions as it can).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from .candidates import FREE, Decisions, Fixed
from .hand import EVERY_POSITION, Grip, grips_for
from .harmonics import node_strings
from .instrument import Instrument
from .passage import Event, Note, Passage, Technique
from .plan import Plan
from .words_in_force import positions_in_force, staying


@dataclass(frozen=True, slots=True)
class Pin:
    """The player's own decision: for one row of the plan, or for every note of a range of measures.

    `measures` are indices of the first and last measure, both included.
    """

    fixed: Fixed
    row: int | None = None
    measures: tuple[int, int] | None = None

    def concerns(self, event: Event, note: Note) -> bool:
        """True if the decision is about this note."""
        if self.measures is not None:
            return self.measures[0] <= event.measure <= self.measures[1]
        return self.row is not None and note.row == self.row


def printed_decisions(passage: Passage) -> dict[str, Fixed]:
    """Return what the part prints, as decisions by note id: fingers, strings, harmonics, and words while they hold."""
    found: dict[str, Fixed] = {}
    positions, stays = positions_in_force(passage), staying(passage)
    for index, event in enumerate(passage.events):
        for note in event.notes:
            fixed = _printed(event, note, passage.instrument, positions[index], index in stays)
            if fixed is not None:
                found[note.id] = fixed
    return found


def _printed(event: Event, note: Note, instrument: Instrument, position: int | None, stay: bool) -> Fixed | None:
    fingers = frozenset(f for f in note.printed.fingers if 0 <= f <= 4)
    if Technique.NATURAL_HARMONIC in note.techniques:
        fingers -= {0}  # the nought over a harmonic is its sign, no open string
    strings = frozenset(note.printed.strings)
    if not strings and event.string is not None and 0 not in fingers:
        strings = frozenset({event.string})
    if not strings and Technique.NATURAL_HARMONIC in note.techniques:
        strings = node_strings(note.pitch, instrument)
    positions = None if position is None else frozenset({position})
    if not fingers and not strings and positions is None and not stay:
        return None
    return Fixed(fingers or None, strings or None, positions, stay)


def pinned(passage: Passage, pins: Iterable[Pin], base: Mapping[str, Fixed]) -> Decisions:
    """Return `base` with the player's pins laid over it; a pin wins over a printed mark on the same note."""
    found = dict(base)
    for pin in pins:
        for event in passage.events:
            for note in event.notes:
                if pin.concerns(event, note):
                    found[note.id] = _over(pin.fixed, found.get(note.id))
    return found


def _over(pin: Fixed, below: Fixed | None) -> Fixed:
    """What the pin leaves open, an earlier pin on the same note may still say; a printed mark gives way whole."""
    if below is None:
        return pin
    return Fixed(
        pin.fingers if pin.fingers is not None else below.fingers,
        pin.strings if pin.strings is not None else (below.strings if pin.fingers is None else None),
        pin.positions if pin.positions is not None else (below.positions if pin.fingers is None else None),
        below.stay and pin == Fixed(strings=pin.strings),
    )


class Miss(StrEnum):
    """What was decided and is not kept."""

    FINGER = "finger"
    STRING = "string"
    POSITION = "position"
    STAY = "stay"


class Why(StrEnum):
    """Why a decision is not kept."""

    NO_NOTE = "no finger sounds the note"
    NO_STOP = "the note is not found there"
    AT_ODDS = "its marks exclude each other"
    CHORD = "not together with what sounds with it"
    ELSEWHERE = "not together with other decisions"


@dataclass(frozen=True, slots=True)
class Unmet:
    """A decision that the plan could not keep.

    Attributes:
        event: where.
        note: id of the note.
        fixed: what was decided.
        misses: which of it is not kept.
        why: why not: because no stop of this note is like that, because what was decided for the note excludes
        itself, or
            because of notes or decisions beside it.
        against: ids of the notes with which it collides, if it does.
    """

    event: int
    note: str
    fixed: Fixed
    misses: tuple[Miss, ...] = ()
    why: Why = Why.ELSEWHERE
    against: tuple[str, ...] = ()


def unmet(plan: Plan, decisions: Decisions) -> tuple[Unmet, ...]:
    """Return the decisions that the plan goes against, in playing order."""
    found = []
    before: Grip | None = None
    for index, event in enumerate(plan.passage.events):
        grip, slots = plan.grip(index), plan.route.options[index].slots
        for note in event.notes:
            fixed = decisions.get(note.id)
            if fixed is None or fixed == FREE:
                continue
            slot = slots.index(note.id) if grip is not None and note.id in slots else None
            misses = _misses(fixed, grip, slot, before)
            if misses:
                why, against = _why(plan, index, note, fixed, decisions)
                found.append(Unmet(index, note.id, fixed, misses, why, against))
        before = grip or before
    return tuple(found)


def _misses(fixed: Fixed, grip: Grip | None, slot: int | None, before: Grip | None) -> tuple[Miss, ...]:
    named = ((Miss.FINGER, fixed.fingers), (Miss.STRING, fixed.strings), (Miss.POSITION, fixed.positions))
    if grip is None or slot is None:
        return tuple(miss for miss, asked in named if asked is not None)
    stop = grip.stops[slot]
    taken = {Miss.FINGER: stop.finger, Miss.STRING: stop.string, Miss.POSITION: grip.position}
    misses = [
        miss
        for miss, asked in named
        if asked is not None and taken[miss] not in asked and not (miss is Miss.POSITION and stop.is_open)
    ]
    if fixed.stay and before is not None and before.position != grip.position:
        misses.append(Miss.STAY)
    return tuple(misses)


def _why(plan: Plan, index: int, note: Note, fixed: Fixed, decisions: Decisions) -> tuple[Why, tuple[str, ...]]:
    """Ask of the note alone, mark by mark and together; then with what sounds with it."""
    instrument, event = plan.passage.instrument, plan.event(index)
    alone = grips_for((note.pitch,), instrument, EVERY_POSITION, True)
    if not alone:
        return Why.NO_NOTE, ()
    single = (Fixed(fingers=fixed.fingers), Fixed(strings=fixed.strings), Fixed(positions=fixed.positions))
    if any(all(part.violations(grip, 0) for grip in alone) for part in single):
        return Why.NO_STOP, ()
    if all(fixed.violations(grip, 0) for grip in alone):
        return Why.AT_ODDS, ()
    others = tuple(other for other in plan.route.options[index].slots if other != note.id)
    if others and _breaks_with(plan, event, note, {note.id: fixed}):
        return Why.CHORD, others
    decided = tuple(other for other in others if other in decisions)
    if decided and _breaks_with(plan, event, note, decisions):
        return Why.CHORD, decided
    return Why.ELSEWHERE, ()


def _breaks_with(plan: Plan, event: Event, note: Note, decisions: Decisions) -> bool:
    """True if no grip for everything that is struck together keeps these decisions."""
    notes = sorted(event.notes, key=lambda other: other.pitch.midi)
    grips = grips_for(tuple(other.pitch for other in notes), plan.passage.instrument, EVERY_POSITION, True)
    fixed = [(slot, decisions[other.id]) for slot, other in enumerate(notes) if other.id in decisions]
    return all(any(decision.violations(grip, slot) for slot, decision in fixed) for grip in grips)
