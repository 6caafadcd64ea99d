"""Which grips come into question for every event: by the notes, the level, and what is already decided."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from typing import NamedTuple
from weakref import WeakKeyDictionary

from ..hand.chords import sounding_in, what_to_hold
from ..hand.grip import EVERY_POSITION, HIGHEST_POSITION, Grip
from ..hand.grip_set import GripSet
from ..hand.level import Level
from ..hand.reach import everywhere, reach, waiting
from ..hand.technique import Asked, asked_of, bonds, every_grip_as_played, grips_as_played
from ..marks.constraints import UNCONSTRAINED, Constraint, Decisions
from ..music.instrument import Instrument, Pitch
from ..music.passage import Event, Note, Passage

MOST_WIDENED = 4096
_WIDENED: dict[tuple[int, int, tuple[int, ...]], GripSet] = {}
_NO_GRIPS = GripSet()


class Candidates(NamedTuple):
    """The grips for one event.

    Attributes:
        slots: ids of the notes held by each grip, in the order of its stops (struck now or still sounding).
        grips: the grips, in tie order; empty only if nothing of the event can be sounded.
        dropped: ids of notes that no grip can hold together with the rest, or that lie outside the instrument.
        beyond: the level's positions do not reach the event (or not as its technique asks).
        broken: how many decisions each grip violates; empty if there are none.
        stays: a decision asks the hand to stay on the way to the event.
        elsewhere: the grips that reach an event beyond the level. They come into question only if a technique, a mark
            in the part or the player asks for the note; else the event is left out of the plan.
    """

    slots: tuple[str, ...]
    grips: GripSet
    dropped: tuple[str, ...] = ()
    beyond: bool = False
    broken: tuple[int, ...] = ()
    stays: bool = False
    elsewhere: GripSet = _NO_GRIPS

    @property
    def only_beyond(self) -> bool:
        """True if a hand can play it, and none within the level can."""
        return self.beyond and bool(self.grips or self.elsewhere)

    @property
    def left_out(self) -> bool:
        """True if the event is not in the plan because the level does not reach it."""
        return bool(self.elsewhere) and not self.grips


_UNDECIDED: WeakKeyDictionary[Passage, dict[frozenset[int], tuple[Candidates, ...]]] = WeakKeyDictionary()


def candidates(passage: Passage, level: Level, decisions: Decisions) -> tuple[Candidates, ...]:
    """Return the grips for every event of the passage."""
    free = _free(passage, level)
    if not decisions:
        return free
    if passage not in _SOUNDING:
        _SOUNDING[passage] = sounding_in(passage)
    sounding = _SOUNDING[passage]
    by_id: dict[str, Note] | None = None
    known_bound: dict[tuple[int, Constraint], Candidates] = {}
    found = list(free)
    for index in sorted({index for id in decisions for index in sounding.get(id, ())}):
        event, option = passage.events[index], free[index]
        if len(event.notes) == 1 and not event.held and option.grips and not event.notes[0].techniques:
            # One plain note: what a decision makes of its grips has often been seen before.
            key = (option.grips.serial, decisions[event.notes[0].id])
            bound = known_bound.get(key)
            if bound is None:
                bound = known_bound[key] = _bound(option, event.pitches, passage.instrument, decisions)
            found[index] = bound._replace(slots=option.slots, beyond=option.beyond)
            continue
        if by_id is None and (event.held or len(event.notes) > 1):
            by_id = _by_id(passage, free)
        found[index] = _for_event(event, by_id or {}, passage, level, decisions)
    return tuple(found)


def _free(passage: Passage, level: Level) -> tuple[Candidates, ...]:
    """The grips for every event before anything is decided, as techniques ask; a part is planned more than once."""
    known = _UNDECIDED.setdefault(passage, {})
    if level.positions not in known:
        found = list(_undecided(passage, level))
        asked_for = bonds(passage).events
        by_id = _by_id(passage, found) if asked_for else {}
        for index in asked_for:
            found[index] = _for_event(passage.events[index], by_id, passage, level, {})
        if level.positions != EVERY_POSITION:
            found = [option if index in asked_for else _within(option, level) for index, option in enumerate(found)]
        known[level.positions] = tuple(found)
    return known[level.positions]


def _within(option: Candidates, level: Level) -> Candidates:
    """Leave out an event that lies beyond the level: its grips stand aside."""
    if not option.beyond or not option.grips:
        return option
    if any(grip.is_open or grip.position in level.positions for grip in option.grips):
        return option
    return option._replace(slots=(), grips=_NO_GRIPS, elsewhere=option.grips)


_SOUNDING: WeakKeyDictionary[Passage, dict[str, list[int]]] = WeakKeyDictionary()


def _undecided(passage: Passage, level: Level) -> Iterator[Candidates]:
    """The grips for every event while nothing is decided and no technique asked after."""
    by_id: dict[str, Note] | None = None
    single: dict[Pitch, tuple[GripSet, bool]] = {}
    chords: dict[tuple[tuple[Pitch, str], ...], tuple[tuple[int, ...], GripSet, bool]] = {}
    for event in passage.events:
        # Most events are one note or a chord that have come before.
        notes = event.notes
        if not event.held and len(notes) == 1:
            known = single.get(notes[0].pitch)
            if known is None:
                known = single[notes[0].pitch] = reach((notes[0].pitch,), passage.instrument, level.positions)
            if known[0]:
                yield Candidates((notes[0].id,), known[0], (), known[1])
                continue
        struck = tuple([(note.pitch, note.voice) for note in notes])
        same = None if event.held else chords.get(struck)
        if same:
            yield Candidates(tuple([notes[i].id for i in same[0]]), same[1], (), same[2])
            continue
        by_id = by_id or _by_id(passage)
        found = _for_event(event, by_id, passage, level, {})
        for id in found.dropped:
            # What has been let go does not sound on.
            by_id.pop(id, None)
        if not event.held and found.grips and not found.dropped:
            order = {note.id: index for index, note in enumerate(notes)}
            chords[struck] = (tuple(order[id] for id in found.slots), found.grips, found.beyond)
        yield found


def _by_id(passage: Passage, found: Sequence[Candidates] = ()) -> dict[str, Note]:
    """The notes by their ids, without those that are let go as soon as they are struck."""
    let_go = {id for option in found for id in option.dropped}
    return {note.id: note for event in passage.events for note in event.notes if note.id not in let_go}


def _for_event(
    event: Event, by_id: Mapping[str, Note], passage: Passage, level: Level, decisions: Decisions
) -> Candidates:
    instrument = passage.instrument
    struck = sorted(event.notes, key=lambda note: note.pitch.midi)
    again = {note.pitch.midi for note in struck} - {pitch.midi for pitch in instrument.open_strings}
    held = [by_id[i] for i in event.held if i in by_id and by_id[i].pitch.midi not in again]
    dropped: list[str] = []
    sounding = [n for n in struck if n.pitch.midi >= instrument.lowest.midi]
    dropped += [n.id for n in struck if n.pitch.midi < instrument.lowest.midi]
    # Two voices that would have to be stretched for are not a chord to a learner.
    apart = HIGHEST_POSITION not in level.positions and len({note.voice for note in sounding}) > 1
    for notes, may_leave in what_to_hold(sounding, held):
        grips, beyond = reach(tuple(n.pitch for n in notes), instrument, level.positions)
        every = None
        if any(n.techniques for n in notes):
            asked = tuple(asked_of(n, passage, decisions.get(n.id, UNCONSTRAINED).strings) for n in notes)
            grips, beyond = _as_played(asked, instrument, level.positions) or (grips, beyond)
            every = _asked_everywhere(asked, instrument) if any(one.touched for one in asked) else None
        if grips and (may_leave or not (beyond or (apart and all(grip.reaches for grip in grips)))):
            kept = {n.id for n in notes}
            dropped += [n.id for n in struck if n.id not in kept and n.id not in dropped]
            option = Candidates(tuple(n.id for n in notes), grips, tuple(dropped), beyond)
            return _bound(option, tuple(n.pitch for n in notes), instrument, decisions, every)
    return Candidates((), GripSet(), tuple(n.id for n in struck), beyond=True)


@lru_cache(maxsize=1024)
def _as_played(
    asked: tuple[Asked, ...], instrument: Instrument, positions: frozenset[int]
) -> tuple[GripSet, bool] | None:
    """The grips that do what techniques ask, and whether they leave the positions; None if nothing changes."""
    grips, beyond = grips_as_played(asked, instrument, positions)
    return (found, beyond) if (found := waiting(grips)) else None


@lru_cache(maxsize=1024)
def _asked_everywhere(asked: tuple[Asked, ...], instrument: Instrument) -> GripSet:
    return GripSet(every_grip_as_played(asked, instrument))


def _widened(grips: GripSet, every: GripSet, more: tuple[int, ...]) -> GripSet:
    """The set with some of the grips that there are anywhere; the same question gets the same set."""
    key = (grips.serial, every.serial, more)
    found = _WIDENED.get(key)
    if found is None:
        if len(_WIDENED) >= MOST_WIDENED:
            _WIDENED.clear()
        found = _WIDENED[key] = GripSet((*grips, *(every[i] for i in more)))
    return found


def _bound(
    option: Candidates,
    pitches: tuple[Pitch, ...],
    instrument: Instrument,
    decisions: Decisions,
    every: GripSet | None = None,
) -> Candidates:
    """The candidates with what decisions make of them; `every` grip that plays as a technique asks, if it matters."""
    fixed = [(slot, decisions[i]) for slot, i in enumerate(option.slots) if i in decisions]
    if not fixed:
        return option
    grips = _where_decided(option.grips, pitches, instrument, fixed)
    broken = _broken(grips, fixed)
    if min(broken) > 0:
        # A decision may leave the level: then every grip that honours it comes into question as well.
        every = every or everywhere(pitches, instrument)
        elsewhere = _broken(every, fixed)
        fewest = min(elsewhere)
        if fewest < min(broken):
            grips = _widened(grips, every, tuple(i for i, b in enumerate(elsewhere) if b == fewest))
            broken = _broken(grips, fixed)
    return option._replace(grips=grips, broken=tuple(broken), stays=any(decision.stay for _, decision in fixed))


def _where_decided(
    grips: GripSet, pitches: tuple[Pitch, ...], instrument: Instrument, fixed: list[tuple[int, Constraint]]
) -> GripSet:
    """The set with all grips in decided positions that the level lacks: the hand can wait over an open string too."""
    missing = frozenset().union(*(decision.positions or () for _, decision in fixed)) - {g.position for g in grips}
    if not missing:
        return grips
    every = everywhere(pitches, instrument)
    return _widened(grips, every, tuple(i for i, grip in enumerate(every) if grip.position in missing))


def _broken(grips: tuple[Grip, ...], fixed: list[tuple[int, Constraint]]) -> list[int]:
    return [sum(decision.violations(grip, slot) for slot, decision in fixed) for grip in grips]
