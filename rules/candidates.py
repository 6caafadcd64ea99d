"""Which grips come into question for every event: by the notes, the level, and what is already decided.

What does not belong here: choosing between them (see `planner`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple
from weakref import WeakKeyDictionary

from .chords import sounding_in, what_to_hold
from .grip_set import GripSet
from .hand import HIGHEST_POSITION, Grip, grips_for
from .instrument import Instrument, Pitch
from .level import Level
from .passage import Event, Note, Passage
from .slurs import slurred_with
from .technique import BEYOND_BY, Asked, asked_of, bonds, every_grip_as_played, grips_as_played

OPEN_KEEPS = 7
"""Highest position in which the hand waits while only open strings sound."""
MOST_WIDENED = 4096
_WIDENED: dict[tuple[int, int, tuple[int, ...]], GripSet] = {}
_EVERYWHERE = frozenset(range(HIGHEST_POSITION + 1))


@dataclass(frozen=True, slots=True)
class Fixed:
    """A decision that binds one note: allowed fingers, strings, positions; None leaves it open.

    `stay` asks that the hand does not move on the way to the note, wherever it is.
    """

    fingers: frozenset[int] | None = None
    strings: frozenset[int] | None = None
    positions: frozenset[int] | None = None
    stay: bool = False

    def violations(self, grip: Grip, slot: int) -> int:
        """Count how many of the three the grip breaks for the note at `slot`."""
        stop = grip.stops[slot]
        broken = self.fingers is not None and stop.finger not in self.fingers
        other = self.strings is not None and stop.string not in self.strings
        elsewhere = self.positions is not None and not stop.is_open and grip.position not in self.positions
        return broken + other + elsewhere


FREE = Fixed()
Decisions = Mapping[str, Fixed]


class Candidates(NamedTuple):
    """The grips for one event.

    Attributes:
        slots: ids of the notes held by each grip, in the order of its stops (struck now or still sounding).
        grips: the grips, in tie order; empty only if nothing of the event can be sounded.
        dropped: ids of notes that no grip can hold together with the rest, or that lie outside the instrument.
        beyond: the level's positions do not reach the event (or not as its technique asks); others were used.
        broken: how many decisions each grip violates; empty if there are none.
        stays: a decision asks the hand to stay on the way to the event.
        follows: a note in the same slur lies beyond the level, and the hand may already be where that one is played.
    """

    slots: tuple[str, ...]
    grips: GripSet
    dropped: tuple[str, ...] = ()
    beyond: bool = False
    broken: tuple[int, ...] = ()
    stays: bool = False
    follows: bool = False


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
    known_bound: dict[tuple[int, Fixed], Candidates] = {}
    found = list(free)
    for index in sorted({index for id in decisions for index in sounding.get(id, ())}):
        event, option = passage.events[index], free[index]
        if len(event.notes) == 1 and not event.held and option.grips and not event.notes[0].techniques:
            # One plain note: what a decision makes of its grips has often been seen before.
            key = (option.grips.serial, decisions[event.notes[0].id])
            bound = known_bound.get(key)
            if bound is None:
                bound = known_bound[key] = _for_event(event, {}, passage, level, decisions)
            found[index] = bound._replace(slots=option.slots, follows=option.follows)
            continue
        if by_id is None and (event.held or len(event.notes) > 1):
            by_id = _by_id(passage)
        found[index] = _for_event(event, by_id or {}, passage, level, decisions)._replace(follows=option.follows)
    return tuple(found)


def _free(passage: Passage, level: Level) -> tuple[Candidates, ...]:
    """The grips for every event before anything is decided, as techniques ask; a part is planned more than once."""
    known = _UNDECIDED.setdefault(passage, {})
    if level.positions not in known:
        found = list(_undecided(passage, level))
        by_id = _by_id(passage) if bonds(passage).events else {}
        for index in bonds(passage).events:
            found[index] = _for_event(passage.events[index], by_id, passage, level, {})
        if len(level.positions) > 1:
            _follow(found, passage, level)
        known[level.positions] = tuple(found)
    return known[level.positions]


def _follow(found: list[Candidates], passage: Passage, level: Level) -> None:
    """Let the notes of a slur go where the hand has to be for those of its notes that lie beyond the level."""
    beyond = [option.beyond and bool(option.grips) for option in found]
    for index, others in slurred_with(passage.events, beyond):
        event, option = passage.events[index], found[index]
        if event.held or option.dropped or any(note.techniques for note in event.notes) or not option.grips:
            continue
        there = frozenset(grip.position for other in others for grip in found[other].grips)
        grips = _reach_too(event.pitches, passage.instrument, level.positions, there)
        found[index] = option._replace(grips=grips, follows=True)


_SOUNDING: WeakKeyDictionary[Passage, dict[str, list[int]]] = WeakKeyDictionary()


def _undecided(passage: Passage, level: Level) -> Iterator[Candidates]:
    """The grips for every event while nothing is decided and no technique asked after."""
    by_id: dict[str, Note] | None = None
    single: dict[Pitch, tuple[GripSet, bool]] = {}
    chords: dict[tuple[Pitch, ...], tuple[tuple[int, ...], GripSet, bool]] = {}
    for event in passage.events:
        # Most events are one note or a chord that have come before.
        notes = event.notes
        if not event.held and len(notes) == 1:
            known = single.get(notes[0].pitch)
            if known is None:
                known = single[notes[0].pitch] = _reach((notes[0].pitch,), passage.instrument, level.positions)
            if known[0]:
                yield Candidates((notes[0].id,), known[0], (), known[1])
                continue
        pitches = tuple([note.pitch for note in notes])
        same = None if event.held else chords.get(pitches)
        if same:
            yield Candidates(tuple([notes[i].id for i in same[0]]), same[1], (), same[2])
            continue
        by_id = by_id or _by_id(passage)
        found = _for_event(event, by_id, passage, level, {})
        if not event.held and found.grips and not found.dropped:
            order = {note.id: index for index, note in enumerate(notes)}
            chords[pitches] = (tuple(order[id] for id in found.slots), found.grips, found.beyond)
        yield found


def _by_id(passage: Passage) -> dict[str, Note]:
    return {note.id: note for event in passage.events for note in event.notes}


def _for_event(
    event: Event, by_id: Mapping[str, Note], passage: Passage, level: Level, decisions: Decisions
) -> Candidates:
    instrument = passage.instrument
    struck = sorted(event.notes, key=lambda note: note.pitch.midi)
    held = [by_id[i] for i in event.held if i in by_id]
    dropped: list[str] = []
    sounding = [n for n in struck if n.pitch.midi >= instrument.lowest.midi]
    dropped += [n.id for n in struck if n.pitch.midi < instrument.lowest.midi]
    for notes in what_to_hold(sounding, held):
        grips, beyond = _reach(tuple(n.pitch for n in notes), instrument, level.positions)
        every = None
        if any(n.techniques for n in notes):
            asked = tuple(asked_of(n, passage, decisions.get(n.id, FREE).strings) for n in notes)
            grips, beyond = _as_played(asked, instrument, level.positions) or (grips, beyond)
            every = _asked_everywhere(asked, instrument) if any(one.touched for one in asked) else None
        if grips:
            kept = {n.id for n in notes}
            dropped += [n.id for n in struck if n.id not in kept and n.id not in dropped]
            return _bound(tuple(notes), grips, tuple(dropped), beyond, instrument, decisions, every)
    return Candidates((), GripSet(), tuple(n.id for n in struck), beyond=True)


@lru_cache(maxsize=8192)
def _reach(pitches: tuple[Pitch, ...], instrument: Instrument, positions: frozenset[int]) -> tuple[GripSet, bool]:
    """The grips within the positions, or those in the lowest ones that reach, and whether that was needed.

    In the lowest one alone a whole figure would hang on stretched fourth fingers.
    """
    grips = grips_for(pitches, instrument, positions)
    if grips:
        return _waiting(grips), False
    every = grips_for(pitches, instrument, _EVERYWHERE, True)
    if not every:
        return GripSet(), True
    # Half position is below first: reaching for it is no way to play a note that lies too high.
    lowest = min((g.position for g in every if g.position > 0), default=0)
    highest = lowest + BEYOND_BY
    return _waiting(
        tuple(g for g in every if g.position == lowest or (lowest < g.position <= highest and g.plain))
    ), True


@lru_cache(maxsize=1024)
def _reach_too(
    pitches: tuple[Pitch, ...], instrument: Instrument, level: frozenset[int], there: frozenset[int]
) -> GripSet:
    """The grips within the positions of a level, and the plain ones in some others."""
    within, _ = _reach(pitches, instrument, level)
    more = grips_for(pitches, instrument, there - level)
    return GripSet((*within, *(grip for grip in more if grip.plain and not grip.is_open)))


@lru_cache(maxsize=1024)
def _as_played(
    asked: tuple[Asked, ...], instrument: Instrument, positions: frozenset[int]
) -> tuple[GripSet, bool] | None:
    """The grips that do what techniques ask, and whether they leave the positions; None if nothing changes."""
    grips, beyond = grips_as_played(asked, instrument, positions)
    return (found, beyond) if (found := _waiting(grips)) else None


@lru_cache(maxsize=1024)
def _asked_everywhere(asked: tuple[Asked, ...], instrument: Instrument) -> GripSet:
    return GripSet(every_grip_as_played(asked, instrument))


@lru_cache(maxsize=4096)
def _everywhere(pitches: tuple[Pitch, ...], instrument: Instrument) -> GripSet:
    return _waiting(grips_for(pitches, instrument, _EVERYWHERE, True))


def _widened(grips: GripSet, every: GripSet, more: tuple[int, ...]) -> GripSet:
    """The set with some of the grips that there are anywhere; the same question gets the same set."""
    key = (grips.serial, every.serial, more)
    found = _WIDENED.get(key)
    if found is None:
        if len(_WIDENED) >= MOST_WIDENED:
            _WIDENED.clear()
        found = _WIDENED[key] = GripSet((*grips, *(every[i] for i in more)))
    return found


def _waiting(grips: tuple[Grip, ...]) -> GripSet:
    return GripSet(g for g in grips if not g.is_open or g.position <= OPEN_KEEPS)


def _bound(
    notes: tuple[Note, ...],
    grips: GripSet,
    dropped: tuple[str, ...],
    beyond: bool,
    instrument: Instrument,
    decisions: Decisions,
    every: GripSet | None,
) -> Candidates:
    slots = tuple(n.id for n in notes)
    fixed = [(slot, decisions[i]) for slot, i in enumerate(slots) if i in decisions]
    if not fixed:
        return Candidates(slots, grips, dropped, beyond)
    grips = _where_decided(grips, tuple(n.pitch for n in notes), instrument, fixed)
    broken = _broken(grips, fixed)
    if min(broken) > 0:
        # A decision may leave the level: then every grip that honours it comes into question as well.
        every = every or _everywhere(tuple(n.pitch for n in notes), instrument)
        elsewhere = _broken(every, fixed)
        fewest = min(elsewhere)
        if fewest < min(broken):
            grips = _widened(grips, every, tuple(i for i, b in enumerate(elsewhere) if b == fewest))
            broken = _broken(grips, fixed)
    return Candidates(slots, grips, dropped, beyond, tuple(broken), any(decision.stay for _, decision in fixed))


def _where_decided(
    grips: GripSet, pitches: tuple[Pitch, ...], instrument: Instrument, fixed: list[tuple[int, Fixed]]
) -> GripSet:
    """The set with all grips in decided positions that the level lacks: the hand can wait over an open string too."""
    missing = frozenset().union(*(decision.positions or () for _, decision in fixed)) - {g.position for g in grips}
    if not missing:
        return grips
    every = _everywhere(pitches, instrument)
    return _widened(grips, every, tuple(i for i, grip in enumerate(every) if grip.position in missing))


def _broken(grips: tuple[Grip, ...], fixed: list[tuple[int, Fixed]]) -> list[int]:
    return [sum(decision.violations(grip, slot) for slot, decision in fixed) for grip in grips]
