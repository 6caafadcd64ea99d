"""Which decisions a plan could not keep, and why."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ..hand.grip import EVERY_POSITION, Grip, grips_for
from ..marks.constraints import FREE, Decisions, Fixed
from ..music.passage import Event, Note
from .plan import Plan


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
    if len(event.notes) > len(plan.passage.instrument.open_strings):
        return True
    notes = sorted(event.notes, key=lambda other: other.pitch.midi)
    grips = grips_for(tuple(other.pitch for other in notes), plan.passage.instrument, EVERY_POSITION, True)
    fixed = [(slot, decisions[other.id]) for slot, other in enumerate(notes) if other.id in decisions]
    return all(any(decision.violations(grip, slot) for slot, decision in fixed) for grip in grips)
