"""What playing techniques ask of the left hand: which grips play them, and how the hand gets from one to the next.

All of it is common practice, and is dropped where the hand has no such grip:

- A *natural harmonic* is touched at a node of the lowest partial that sounds it: at half the string by the fourth
  finger (in fourth position, or stretched from third), elsewhere by the third or fourth, near the nut by the second or
  third. It may be touched elsewhere than written: E6 also speaks on the A string where E5 lies.
- An *artificial harmonic* is stopped by the first finger, so that the fourth (or, a third above, the third) can touch.
- In *left-hand pizzicato* a finger above the stopping one has to be free to pluck.
- A *trill*, mordent or turn within a chord needs one of the two fingers above, not held by another note. (Trills of
  single notes with the fourth finger are a matter of cost.)
- A *glissando* is one finger on one string; it does not start from an open string.
- A *tremolo* between two notes keeps both under the hand: no shift between, and fingers that can be down together.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from itertools import product
from weakref import WeakKeyDictionary

from ..music.instrument import Instrument, Pitch
from ..music.passage import Event, Note, Passage, Technique
from .grip import EVERY_POSITION, Grip, Stop, fits_together, grips_for
from .harmonics import Touch, touches

ORNAMENTS = frozenset({Technique.TRILL, Technique.MORDENT, Technique.TURN})
PLACED = frozenset({Technique.NATURAL_HARMONIC, Technique.ARTIFICIAL_HARMONIC, Technique.GLISSANDO})
"""Techniques that say where the hand goes; it may leave first position for them without another reason."""
BINDING = PLACED | ORNAMENTS | {Technique.LEFT_PIZZICATO}
BEYOND_BY = 3
"""How many positions above the lowest one still come into question outside the level: one for each finger."""


@dataclass(frozen=True, slots=True)
class Asked:
    """A note as far as its technique is concerned.

    `strings` are those decided for a harmonic, None for any; `others` the far ends of its slides.
    """

    pitch: Pitch
    techniques: frozenset[Technique]
    strings: frozenset[int] | None = None
    others: tuple[Pitch, ...] = ()

    @property
    def touched(self) -> bool:
        """True for a natural harmonic."""
        return Technique.NATURAL_HARMONIC in self.techniques


class Link(StrEnum):
    """How the way from one event to the next is bound."""

    GLIDE = "glissando with another finger or string"
    ALTERNATE = "tremolo that does not lie under the hand"


@dataclass(frozen=True, slots=True)
class Bonds:
    """What techniques bind in a passage.

    Attributes:
        events: indices of the events whose grips they choose.
        links: how the way into an event is bound, by its index.
        others: where the slides from and to a note lead, by note id; single notes only.
    """

    events: tuple[int, ...]
    links: Mapping[int, Link]
    others: Mapping[str, tuple[Pitch, ...]]


_NO_BONDS = Bonds((), {}, {})
_BONDS: WeakKeyDictionary[Passage, Bonds] = WeakKeyDictionary()


def bonds(passage: Passage) -> Bonds:
    """Return what techniques bind in a passage; worked out once."""
    if passage not in _BONDS:
        used = frozenset[Technique]().union(*{note.techniques for note in passage.notes})
        _BONDS[passage] = _bonds(passage, used) if used else _NO_BONDS
    return _BONDS[passage]


def _bonds(passage: Passage, used: frozenset[Technique]) -> Bonds:
    links: dict[int, Link] = {}
    others: dict[str, tuple[Pitch, ...]] = {}
    if Technique.TREMOLO in used:
        links |= dict.fromkeys(_second_of_pairs(passage.events, Technique.TREMOLO), Link.ALTERNATE)
    if Technique.GLISSANDO in used:
        links |= dict.fromkeys(_second_of_pairs(passage.events, Technique.GLISSANDO), Link.GLIDE)
    for index in (index for index, link in links.items() if link is Link.GLIDE):
        start, goal = passage.events[index - 1].notes, passage.events[index].notes
        if len(start) == len(goal) == 1:
            for note, other in ((start[0], goal[0]), (goal[0], start[0])):
                others[note.id] = (*others.get(note.id, ()), other.pitch)
    return Bonds(tuple(_bound_events(passage)), links, others)


def _bound_events(passage: Passage) -> Iterable[int]:
    """Events in which a note sounds whose technique chooses the grip; an ornament does so only beside other notes."""
    bound = {note.id for note in passage.notes if not note.techniques.isdisjoint(BINDING - ORNAMENTS)}
    ornamented = {note.id for note in passage.notes if not note.techniques.isdisjoint(ORNAMENTS)}
    for index, event in enumerate(passage.events):
        if event.held or len(event.notes) > 1:
            sounding = {*event.held, *(note.id for note in event.notes)}
            if sounding & bound or sounding & ornamented:
                yield index
        elif bound and event.notes and event.notes[0].id in bound:
            yield index


def _second_of_pairs(events: Sequence[Event], technique: Technique) -> Iterable[int]:
    """Where a run of marked events has an even length it is taken as pairs, otherwise as one chain."""
    run = 0
    for index, event in enumerate((*events, None)):
        if event is not None and any(technique in note.techniques for note in event.notes):
            run += 1
            continue
        yield from range(index - run + 1, index, 1 if run % 2 else 2)
        run = 0


def keeps(link: Link, before: Grip, after: Grip) -> bool:
    """Return True if the way from one grip to the next is as the technique asks."""
    if link is Link.ALTERNATE:
        together = (a == b or fits_together(a, b) for a in before.stops for b in after.stops)
        return before.position == after.position and all(together)
    left, right = ({(s.string, s.finger) for s in grip.stops if s.finger} for grip in (before, after))
    return len(left & right) >= min(len(before.stops), len(after.stops))


def asked_of(note: Note, passage: Passage, strings: frozenset[int] | None = None) -> Asked:
    """Return what the technique of a note asks; `strings` are those already decided for it, if any."""
    bound = note.techniques & BINDING
    others = bonds(passage).others.get(note.id, ()) if Technique.GLISSANDO in bound else ()
    return Asked(note.pitch, bound, strings if Technique.NATURAL_HARMONIC in bound else None, others)


@lru_cache(maxsize=1024)
def grips_as_played(
    asked: tuple[Asked, ...], instrument: Instrument, positions: frozenset[int]
) -> tuple[tuple[Grip, ...], bool]:
    """Return the grips that play everything as asked, and whether they lie outside the positions.

    Within the positions where there are such grips, otherwise in the lowest ones that have any (an ornament does not
    take the hand so far). Empty if none has, or if nothing is asked that chooses between grips.
    """
    if len(asked) == 1 and asked[0].techniques <= ORNAMENTS:
        return (), False
    found = _as_asked(asked, instrument, positions, any_height=False)
    if found:
        return _with_free_finger(found, asked), False
    if all(one.techniques <= ORNAMENTS for one in asked):
        return (), True
    found = _as_asked(asked, instrument, EVERY_POSITION, any_height=True)
    # Half position is below first: it is no way to play what first position does not reach.
    lowest = min((grip.position for grip in found if grip.position > 0), default=0)
    found = tuple(grip for grip in found if lowest <= grip.position <= lowest + BEYOND_BY)
    return _with_free_finger(found, asked), True


def every_grip_as_played(asked: tuple[Asked, ...], instrument: Instrument) -> tuple[Grip, ...]:
    """Return all grips that touch the natural harmonics, with any finger, and all that sound the other notes."""
    found: dict[Grip, None] = {}
    for touched in _touched(asked, instrument):
        pitches, places = [pitch for pitch, _ in touched], [touch for _, touch in touched]
        for grip in grips_for(tuple(pitches), instrument, EVERY_POSITION, True):
            if _touches_there(grip, places, any_finger=True):
                found[grip] = None
    return tuple(found)


def _as_asked(
    asked: tuple[Asked, ...], instrument: Instrument, positions: frozenset[int], any_height: bool
) -> tuple[Grip, ...]:
    ranked: dict[Grip, int] = {}
    reached = [[_stopping(other, instrument, positions, any_height) for other in one.others] for one in asked]
    for touched in _touched(asked, instrument):
        pitches, places = [pitch for pitch, _ in touched], [touch for _, touch in touched]
        partial = max((touch.partial for touch in places if touch), default=0)
        for grip in grips_for(tuple(pitches), instrument, positions, any_height):
            if (
                _touches_there(grip, places)
                and all(_plays(grip, slot, one) for slot, one in enumerate(asked))
                and all(_slides(stop, reached[slot]) for slot, stop in enumerate(grip.stops))
            ):
                ranked[grip] = min(partial, ranked.get(grip, partial))
    # The lower the partial, the more surely it speaks (acoustics).
    best = min(ranked.values(), default=0)
    return tuple(grip for grip, partial in ranked.items() if partial == best)


def _touched(asked: tuple[Asked, ...], instrument: Instrument) -> Iterable[tuple[tuple[Pitch, Touch | None], ...]]:
    """For every note the pitch at which the finger lies, and the touch if it is a natural harmonic."""
    choices: list[list[tuple[Pitch, Touch | None]]] = []
    for one in asked:
        found: list[tuple[Pitch, Touch | None]] = []
        if one.touched:
            every = touches(one.pitch, instrument)
            kept = [touch for touch in every if one.strings is None or touch.string in one.strings]
            found = [(touch.pitch(instrument), touch) for touch in kept or every]
        choices.append(found or [(one.pitch, None)])
    return product(*choices)


def _touches_there(grip: Grip, places: Sequence[Touch | None], any_finger: bool = False) -> bool:
    return all(
        touch is None or (stop.string == touch.string and (any_finger or stop.finger in touch.fingers))
        for stop, touch in zip(grip.stops, places, strict=True)
    )


def _plays(grip: Grip, slot: int, asked: Asked) -> bool:
    """True if the stop, and the fingers left beside it, do what the technique cannot go without."""
    stop = grip.stops[slot]
    others = {other.finger for other in grip.stops if other is not stop}
    if Technique.ARTIFICIAL_HARMONIC in asked.techniques and (stop.finger != 1 or max(others, default=0) > 2):
        return False
    if Technique.LEFT_PIZZICATO in asked.techniques and not set(range(stop.finger + 1, 5)) - others:
        return False
    return Technique.GLISSANDO not in asked.techniques or not stop.is_open


def _stopping(
    pitch: Pitch, instrument: Instrument, positions: frozenset[int], any_height: bool
) -> frozenset[tuple[int, int]]:
    """String and finger of every way to stop a pitch."""
    stops = (grip.stops[0] for grip in grips_for((pitch,), instrument, positions, any_height))
    return frozenset((stop.string, stop.finger) for stop in stops if stop.finger)


def _slides(stop: Stop, ends: Sequence[frozenset[tuple[int, int]]]) -> bool:
    """True if the finger can slide to every one of the ends."""
    return all((stop.string, stop.finger) in end for end in ends)


def _with_free_finger(grips: tuple[Grip, ...], asked: tuple[Asked, ...]) -> tuple[Grip, ...]:
    """The grips in which every ornament within a chord has a finger, if there are such."""
    ornamented = [slot for slot, one in enumerate(asked) if one.techniques & ORNAMENTS]
    if len(asked) < 2 or not ornamented:
        return grips
    kept = tuple(grip for grip in grips if all(_free_above(grip, slot) for slot in ornamented))
    return kept or grips


def _free_above(grip: Grip, slot: int) -> bool:
    finger = grip.stops[slot].finger
    others = {other.finger for other in grip.stops} - {finger}
    return any(above not in others for above in (finger + 1, finger + 2) if above <= 4)


__all__ = [
    "Asked",
    "Bonds",
    "Link",
    "asked_of",
    "bonds",
    "every_grip_as_played",
    "grips_as_played",
    "keeps",
]
