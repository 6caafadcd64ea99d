"""Which constraints a plan violates, and why."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ..hand.grip import EVERY_POSITION, Grip, grips_for
from ..marks.constraints import UNCONSTRAINED, Constraint, Decisions
from ..marks.printed_marks import is_reachable
from ..music.passage import Event, Note
from .plan import Plan


class ConstraintKind(StrEnum):
    """The part of a constraint that is violated."""

    FINGER = "finger"
    STRING = "string"
    POSITION = "position"
    STAY = "stay"


class ViolationCause(StrEnum):
    """Why a constraint is violated."""

    NO_NOTE = "no finger sounds the note"
    NO_STOP = "the note is not found there"
    AT_ODDS = "its marks exclude each other"
    CHORD = "not together with what sounds with it"
    ELSEWHERE = "not together with other decisions"


@dataclass(frozen=True, slots=True)
class ConstraintViolation:
    """A constraint that the plan could not keep.

    Attributes:
        event: where.
        note: id of the note.
        constraint: what was asked for the note.
        kinds: which of it is violated.
        cause: why.
        against: ids of the notes with which it collides, if it does.
    """

    event: int
    note: str
    constraint: Constraint
    kinds: tuple[ConstraintKind, ...] = ()
    cause: ViolationCause = ViolationCause.ELSEWHERE
    against: tuple[str, ...] = ()


def constraint_violations(plan: Plan, decisions: Decisions) -> tuple[ConstraintViolation, ...]:
    """Return the violated constraints in playing order."""
    if not decisions:
        return ()
    found = []
    before: Grip | None = None
    for index, event in enumerate(plan.passage.events):
        grip, slots = plan.grip(index), plan.route.options[index].slots
        for note in event.notes:
            constraint = decisions.get(note.id)
            if constraint is None or constraint == UNCONSTRAINED:
                continue
            slot = slots.index(note.id) if grip is not None and note.id in slots else None
            kinds = _broken_kinds(constraint, grip, slot, before)
            if kinds:
                cause, against = _cause(plan, index, note, constraint, decisions)
                if ConstraintKind.STAY in kinds and before is not None and not _lies_in(plan, event, before.position):
                    cause = ViolationCause.NO_STOP
                found.append(ConstraintViolation(index, note.id, constraint, kinds, cause, against))
        before = grip or before
    return tuple(found)


def _broken_kinds(
    constraint: Constraint, grip: Grip | None, slot: int | None, before: Grip | None
) -> tuple[ConstraintKind, ...]:
    named = (
        (ConstraintKind.FINGER, constraint.fingers),
        (ConstraintKind.STRING, constraint.strings),
        (ConstraintKind.POSITION, constraint.positions),
    )
    if grip is None or slot is None:
        return tuple(kind for kind, asked in named if asked is not None)
    stop = grip.stops[slot]
    taken = {
        ConstraintKind.FINGER: stop.finger,
        ConstraintKind.STRING: stop.string,
        ConstraintKind.POSITION: grip.position,
    }
    kinds = [
        kind
        for kind, asked in named
        if asked is not None and taken[kind] not in asked and not (kind is ConstraintKind.POSITION and stop.is_open)
    ]
    if constraint.stay and before is not None and before.position != grip.position:
        kinds.append(ConstraintKind.STAY)
    return tuple(kinds)


def _lies_in(plan: Plan, event: Event, position: int) -> bool:
    return is_reachable(event, plan.passage.instrument, position)


def _cause(
    plan: Plan, index: int, note: Note, constraint: Constraint, decisions: Decisions
) -> tuple[ViolationCause, tuple[str, ...]]:
    """Try the note alone, mark by mark and all together; then with the notes that sound with it."""
    instrument, event = plan.passage.instrument, plan.event(index)
    alone = grips_for((note.pitch,), instrument, EVERY_POSITION, True)
    if not alone:
        return ViolationCause.NO_NOTE, ()
    single = (
        Constraint(fingers=constraint.fingers),
        Constraint(strings=constraint.strings),
        Constraint(positions=constraint.positions),
    )
    if any(all(part.violations(grip, 0) for grip in alone) for part in single):
        return ViolationCause.NO_STOP, ()
    if all(constraint.violations(grip, 0) for grip in alone):
        return ViolationCause.AT_ODDS, ()
    others = tuple(other for other in plan.route.options[index].slots if other != note.id)
    if others and _breaks_with(plan, event, note, {note.id: constraint}):
        return ViolationCause.CHORD, others
    decided = tuple(other for other in others if other in decisions)
    if decided and _breaks_with(plan, event, note, decisions):
        return ViolationCause.CHORD, decided
    return ViolationCause.ELSEWHERE, ()


def _breaks_with(plan: Plan, event: Event, note: Note, decisions: Decisions) -> bool:
    """True if no grip for everything that is struck together keeps these decisions."""
    if len(event.notes) > len(plan.passage.instrument.open_strings):
        return True
    notes = sorted(event.notes, key=lambda other: other.pitch.midi)
    grips = grips_for(tuple(other.pitch for other in notes), plan.passage.instrument, EVERY_POSITION, True)
    constraints = [(slot, decisions[other.id]) for slot, other in enumerate(notes) if other.id in decisions]
    return all(any(decision.violations(grip, slot) for slot, decision in constraints) for grip in grips)
