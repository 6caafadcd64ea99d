"""Patterns that repeat: where the music says the same again, and the fingerings that should then be the same.

A repeat is a run of events with the rhythm and the notes of an earlier one; a sequence has the rhythm and the steps,
by letter names, on other notes. Where two such places are fingered differently, each is tried with the fingering of
the other, between neighbours held fast; the cheaper change is kept if the effort rises by no more than a stated
amount. The result is a set of decisions; the planner then finds the cheapest route that keeps them, which costs no
more than the changes added up.

Repeats are found as in dictionary coding: every run of `SHORTEST` events is looked up among the earlier ones, and the
first that agrees is followed as far as it agrees. Time grows in step with the number of events.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from ..hand.grip import Grip
from ..marks.constraints import Constraint
from ..music.passage import Event, Passage
from ..plan.plan import Plan
from ..search.k_best import Allowed, RouteSearch

SHORTEST = 6
"""Events that a motif has at least."""
LONGEST = 16
"""Events after which a long repeat is cut: each piece is decided by itself."""
AMOUNT = 0.5
"""Effort that the same fingering may cost at one place of a sequence: a third of a crossing."""
AMOUNT_ON_THE_SAME_NOTES = 6.0
"""The same where the very same notes return: about four crossings, or a shift and its way back over a rest."""
AMOUNT_FOR_LEARNERS = 1.5
"""The same for each event of it for a learner, who learns what returns once: the longer, the more it saves."""
AMOUNT_WITH_EDGES = 1.5
"""What it may cost a learner to finger the edges of such a repeat alike too: a crossing."""
EDGE = 2
"""Events at either end of a repeat on the same notes that may differ: they belong to what leads in and out."""
MARGIN = 4
"""Events on either side of a motif that may change with it."""
_Fingering = tuple[tuple[tuple[int, int], ...], int | None]
"""Fingers and strings of a grip; and its position, where that counts."""
OTHER_STRINGS = (0, 1, -1, 2, -2)
"""By how many strings a sequence may lie lower (+) or higher (-) than its model."""


@dataclass(frozen=True, slots=True)
class Repeat:
    """Events `later` to `later + length - 1` say what `earlier` … said; as a sequence if not on the same notes."""

    earlier: int
    later: int
    length: int
    exact: bool


def repeats(passage: Passage) -> tuple[Repeat, ...]:
    """Return what repeats, in the order of the later places: on the same notes first, then sequences elsewhere."""
    events = passage.events
    exact = list(_found([_notes(event) for event in events], True))
    covered = [False] * len(events)
    for repeat in exact:
        covered[repeat.later : repeat.later + repeat.length] = [True] * repeat.length
    steps = [None, *(_step(a, b) for a, b in pairwise(events))]
    sequences = [r for r in _found(steps, False) if not any(covered[r.later : r.later + r.length])]
    return tuple(exact + sequences)


def _notes(event: Event) -> Hashable:
    beats = event.beats
    if len(event.notes) == 1:
        pitch = event.notes[0].pitch
        return (pitch.letter, pitch.alter, beats.numerator, beats.denominator, event.grace)
    pitches = [(note.pitch.letter, note.pitch.alter) for note in event.notes]
    return (*sorted(pitches), beats.numerator, beats.denominator, event.grace)


def _step(before: Event, event: Event) -> Hashable:
    """What leads to an event: letter names up or down, and the rhythm. A sequence begins one event earlier."""
    if not before.notes or not event.notes or before.grace or event.grace:
        return (event.measure, event.onset.numerator, event.onset.denominator)
    start, beats = before.beats, event.beats
    rhythm = (start.numerator, start.denominator, beats.numerator, beats.denominator)
    if len(before.notes) == len(event.notes) == 1:
        return (event.notes[0].pitch.letter - before.notes[0].pitch.letter, *rhythm)
    lowest = min(note.pitch.letter for note in before.notes)
    return (*sorted(note.pitch.letter - lowest for note in event.notes), *rhythm)


def _found(tokens: Sequence[Hashable], exact: bool) -> Iterator[Repeat]:
    """Runs of tokens that came before, cut into pieces; a run does not overlap its model."""
    numbers: dict[Hashable, int] = {}
    ids = [numbers.setdefault(token, len(numbers)) for token in tokens]
    lead = 0 if exact else 1
    run = SHORTEST - lead
    runs = list(zip(*(ids[start:] for start in range(run)), strict=False))
    known: dict[tuple[int, ...], int] = {}
    at = lead
    waiting = lead
    while at + run <= len(ids):
        while waiting + run <= at:
            known.setdefault(runs[waiting], waiting)
            waiting += 1
        model = known.get(runs[at])
        if model is None:
            at += 1
            continue
        length = run
        while at + length < len(ids) and model + length < at - lead and ids[model + length] == ids[at + length]:
            length += 1
        yield from _pieces(model - lead, at - lead, length + lead, exact)
        at += length


def _pieces(earlier: int, later: int, length: int, exact: bool) -> Iterator[Repeat]:
    count = -(-length // LONGEST)
    for number in range(count):
        start, end = number * length // count, (number + 1) * length // count
        yield Repeat(earlier + start, later + start, end - start, exact)


def align_repeats(
    plan: Plan,
    routes: Callable[[], RouteSearch],
    found: Sequence[Repeat] | None = None,
    amount: float = AMOUNT,
    on_the_same_notes: float | None = None,
) -> dict[str, Constraint]:
    """Return decisions that finger alike what is alike, each place at no more than a stated amount of effort.

    Empty if everything that repeats is fingered alike already, or cannot be for that amount. `routes` looks up those of
    the plan; it is called only if something that repeats is fingered differently. `found` is what repeats in the
    passage, if it is known.
    """
    learner = plan.level.learner
    alignment = _RepeatAlignment(plan, routes)
    for repeat in repeats(plan.passage) if found is None else found:
        if not repeat.exact:
            alignment.align(repeat, amount)
            continue
        most = AMOUNT_ON_THE_SAME_NOTES if on_the_same_notes is None else on_the_same_notes
        if learner and on_the_same_notes is None:
            alignment.align(repeat, AMOUNT_WITH_EDGES)
            for_learners = AMOUNT_FOR_LEARNERS * repeat.length
            if for_learners > most and not _is_decided(plan, repeat):
                most = for_learners
        alignment.align(_inner(repeat), most)
    return alignment.decisions()


def _is_decided(plan: Plan, repeat: Repeat) -> bool:
    """True if a mark or the player decides anything at one of the two places: that need not hold at the other."""
    places = (repeat.earlier, repeat.later)
    return any(plan.route.options[place + i].broken for place in places for i in range(repeat.length))


def _inner(repeat: Repeat) -> Repeat:
    """The repeat without its edges, if it is long enough to have an inside."""
    if not repeat.exact or repeat.length <= SHORTEST:
        return repeat
    return Repeat(repeat.earlier + EDGE, repeat.later + EDGE, repeat.length - 2 * EDGE, True)


class _RepeatAlignment:
    """The route while it is being changed; what has been decided stays as it is."""

    def __init__(self, plan: Plan, routes: Callable[[], RouteSearch]) -> None:
        self._look_up = routes
        self._options = plan.route.options
        self._chosen = list(plan.route.chosen)
        self._decided: set[int] = set()
        self._changed = False
        self._fingerings: dict[int, dict[_Fingering, frozenset[int]]] = {}

    @cached_property
    def _routes(self) -> RouteSearch:
        return self._look_up()

    def align(self, repeat: Repeat, amount: float) -> None:
        """Finger both places alike, by the cheaper of the two changes, if that is cheap enough."""
        places = (
            range(repeat.earlier, repeat.earlier + repeat.length),
            range(repeat.later, repeat.later + repeat.length),
        )
        if self._alike(*places, repeat.exact):
            return
        tries = [self._tried(model, copy, repeat.exact) for model, copy in (places, places[::-1])]
        rise, window, taken = min((t for t in tries if t is not None), key=lambda t: t[0], default=(0.0, 0, None))
        if taken is None or rise > amount:
            return
        self._chosen[window : window + len(taken)] = taken
        self._changed = True
        for place in places:
            self._decided.update(place)

    def decisions(self) -> dict[str, Constraint]:
        """What was decided, by note; nothing if nothing had to be changed."""
        found: dict[str, Constraint] = {}
        for event in sorted(self._decided) if self._changed else ():
            grip = self._grip(event)
            if grip is None:
                continue
            for stop, note in zip(grip.stops, self._options[event].slots, strict=True):
                positions = None if stop.is_open else frozenset({grip.position})
                found[note] = Constraint(frozenset({stop.finger}), frozenset({stop.string}), positions)
        return found

    def _grip(self, event: int) -> Grip | None:
        index = self._chosen[event]
        return None if index < 0 else self._options[event].grips[index]

    def _alike(self, model: range, copy: range, exact: bool) -> bool:
        first, second = slice(model.start, model.stop), slice(copy.start, copy.stop)
        if exact and self._chosen[first] == self._chosen[second]:
            # The same grips of the same sets: nearly always, since the same notes lead to the same way.
            sets = [[option.grips for option in self._options[part]] for part in (first, second)]
            if all(a is b for a, b in zip(*sets, strict=True)):
                return True
        pairs = [(self._grip(a), self._grip(b)) for a, b in zip(model, copy, strict=True)]
        if any(a is None or b is None for a, b in pairs):
            return True
        strings = next((b.stops[0].string - a.stops[0].string for a, b in pairs if a and b), 0)
        moved = 0 if exact else strings
        return all(_fingering(b, exact) == _moved(_fingering(a, exact), moved) for a, b in pairs if a and b)

    def _tried(self, model: range, copy: range, exact: bool) -> tuple[float, int, tuple[int, ...]] | None:
        """The copy fingered like its model: by how much effort rises, from which event on, and the grips."""
        if self._decided.intersection(copy):
            return None
        grips = [self._grip(event) for event in model]
        if None in grips:
            return None
        wanted = tuple([_fingering(grip, exact) for grip in grips if grip])
        first, last = max(copy.start - MARGIN, 0), min(copy.stop - 1 + MARGIN, len(self._options) - 1)
        now, ends = tuple(self._chosen[first : last + 1]), self._held(first, last)
        sets = tuple([self._options[event].grips.serial for event in copy])
        key = "like a model", wanted, exact, now, sets, tuple([event - first for event in ends])
        found = self._routes.once(first, last, key, lambda: self._cheapest(wanted, copy, (first, last), exact, ends))
        return found and (found[0], first, found[1])

    def _cheapest(
        self, model: Sequence[_Fingering], copy: range, window: tuple[int, int], exact: bool, ends: Allowed
    ) -> tuple[float, tuple[int, ...]] | None:
        """The cheapest way to finger the copy like its model: by how much effort rises, and the grips."""
        best: tuple[float, tuple[int, ...]] | None = None
        first, last = window
        now = "effort", tuple(self._chosen[first : last + 1])
        for strings in (0,) if exact else OTHER_STRINGS:
            allowed = self._like(model, copy, strings, exact)
            segment = None if allowed is None else self._routes.planned(first, last, {**ends, **allowed})
            if segment is None:
                continue
            effort = self._routes.once(first, last, now, lambda: self._routes.effort(first, last, self._chosen))
            rise = segment.effort - effort
            if best is None or rise < best[0]:
                best = (rise, segment.chosen)
        return best

    def _held(self, first: int, last: int) -> dict[int, frozenset[int]]:
        """Keep what is decided already, and the ends where the music goes on."""
        fast = {event for event in range(first, last + 1) if event in self._decided}
        fast |= {first} if first > 0 else set()
        fast |= {last} if last < len(self._options) - 1 else set()
        return {event: frozenset({self._chosen[event]}) for event in fast}

    def _like(self, model: Sequence[_Fingering], copy: range, strings: int, exact: bool) -> Allowed | None:
        """The grips of the copy that finger it like its model; None if a note has none."""
        allowed = {}
        for fingering, event in zip(model, copy, strict=True):
            fitting = self._by_fingering(event, exact).get(_moved(fingering, strings))
            if fitting is None:
                return None
            allowed[event] = fitting
        return allowed

    def _by_fingering(self, event: int, exact: bool) -> dict[_Fingering, frozenset[int]]:
        """The grips of an event by how they are fingered; events of the same notes share one set of grips."""
        grips = self._options[event].grips
        key = 2 * grips.serial + exact
        if key not in self._fingerings:
            sorted_out: dict[_Fingering, set[int]] = {}
            for index, grip in enumerate(grips):
                sorted_out.setdefault(_fingering(grip, exact), set()).add(index)
            self._fingerings[key] = {name: frozenset(found) for name, found in sorted_out.items()}
        return self._fingerings[key]


def _fingering(grip: Grip, exact: bool) -> _Fingering:
    """Fingers and strings; for the same notes also the position, unless no finger is down."""
    stops = tuple([(stop.finger, stop.string) for stop in grip.stops])
    return (stops, grip.position if exact and not grip.is_open else None)


def _moved(fingering: _Fingering, strings: int) -> _Fingering:
    """The same fingers so many strings lower (+) or higher (-)."""
    stops, position = fingering
    return (tuple([(finger, string + strings) for finger, string in stops]), position) if strings else fingering


__all__ = ["AMOUNT", "Repeat", "align_repeats", "repeats"]
