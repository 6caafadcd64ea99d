"""Other ways to play a passage, and what the proposal saves in effort."""

from __future__ import annotations

from collections.abc import Container, Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from rules import (
    HOME_POSITION,
    Alternative,
    AlternativeKind,
    Aspect,
    Excursion,
    ExplainedProposal,
    Pin,
    Plan,
    Proposal,
    Shift,
    Stop,
    begins_in,
    is_weak,
)

from ...messages.message import Message, Wording, sentence
from ...messages.music_words import bars_words, place_words, position_words
from ...messages.player import excursions
from .counts import COUNTED, Difference, WeakNotes, counts_listed, difference, tells
from .shifts import played_notes
from .weak_notes import weak_notes_name, weak_stops_words

NEARLY_AS_GOOD = 3.0
"""Effort below which another way is offered in a report: about what an ordinary shift costs."""
LEAST_SAVING = 0.5
"""Effort below which a saving is not worth a word: a third of a string crossing."""
UNSEEN = 0.05
MOST_IN_ORDER = 3
"""Positions that are named one after the other; where there are more, only which they are."""
CROSSINGS_FOR_A_SHIFT = 3
"""String crossings that another way may spare for each shift more and still not be worth it: as few are no reason to
leave first position either."""
MOST_STEPS = 3
"""Steps of the hand in which another way may differ, so that a reader keeps it in mind."""


def ways_compared(explained: ExplainedProposal) -> list[Alternative]:
    """Return the other ways of a proposal (see `compared`)."""
    return [compared(explained.proposal, other) for other in explained.alternatives]


def compared(proposal: Proposal, other: Alternative) -> Alternative:
    """Return another way; staying in first position has the figures by which the proposal is reasoned.

    Why and Or tell of the same two ways, so they tell the same numbers.
    """
    if other.kind is not AlternativeKind.STAY:
        return other
    before = replace(proposal.before, held_weak=len(proposal.warmer))
    after = replace(proposal.after, held_weak=len(proposal.colder))
    excursion = proposal.excursion
    return replace(other, first=excursion.first, last=excursion.last, figures=before, proposed=after)


def near_ways(plan: Plan, explained: ExplainedProposal) -> list[Alternative]:
    """Return the other ways that are worth a try."""
    excursion = explained.proposal.excursion
    return [other for other in ways_compared(explained) if is_worth_a_try(plan, excursion, other)]


def is_worth_a_try(plan: Plan, excursion: Excursion, other: Alternative) -> bool:
    """Whether another way is nearly as good as the one proposed, soon told, and has clearly less of what counts.

    A single string crossing is no reason, and more shifts are made only for more than a few. No hop of a finger is put
    in the place of something else. What lies beyond the level is learned where it is planned, so there is no other way
    to it.
    """
    steps = _Steps.of(excursion, other)
    if steps.start is not None and not plan.begins_with(excursion):
        # It goes on from the passage before, and is told there.
        return False
    if other.rise >= NEARLY_AS_GOOD or steps.number > MOST_STEPS or _leads_beyond(plan, excursion, other, steps):
        return False
    these, planned = other.figures, other.proposed
    if these.hops > planned.hops:
        return False
    fewer = {
        name
        for name in COUNTED
        if getattr(these, name) < getattr(planned, name) and tells(name, getattr(these, name), getattr(planned, name))
    }
    more_shifts = these.shifts - planned.shifts
    if fewer <= {"crossings", "skips"}:
        return planned.crossings - these.crossings > max(1, CROSSINGS_FOR_A_SHIFT * more_shifts)
    return bool(fewer)


def _leads_beyond(plan: Plan, excursion: Excursion, other: Alternative, steps: _Steps) -> bool:
    """Whether a way goes elsewhere for something that is planned although it lies beyond the level."""
    stays = other.kind is AlternativeKind.STAY
    events = excursion.events if stays else [shift.arrival for shift in steps.shifts]
    return any(plan.route.options[event].beyond and plan.route.options[event].grips for event in events)


@dataclass(frozen=True, slots=True)
class _Steps:
    """In which steps of the hand another way differs from the proposal.

    Attributes:
        start: the position in which it begins, if the proposal begins in another.
        shifts: those that it makes otherwise, and those of the proposal before which the hand stays where it is, in
            playing order. What it does as proposed before the first of them and after the last is left out.
        made: those of them that it makes.
    """

    start: int | None
    shifts: tuple[Shift, ...]
    made: tuple[Shift, ...]

    @classmethod
    def of(cls, excursion: Excursion, other: Alternative) -> _Steps:
        own = {(shift.arrival, shift.goal, shift.finger): shift for shift in excursion.shifts}
        theirs = {(shift.arrival, shift.goal, shift.finger): shift for shift in other.shifts}
        begins = begins_in(other.shifts, other.positions)
        start = None if begins == begins_in(excursion.shifts, excursion.positions) else begins
        added = tuple(shift for key, shift in theirs.items() if key not in own)
        arrivals = {shift.arrival for shift in theirs.values()}
        replaced = {start, *(shift.goal for shift in added)}
        stays = [
            shift
            for key, shift in own.items()
            if key not in theirs
            and shift.goal not in replaced
            and shift.arrival not in arrivals
            and other.position_at(shift.arrival) == shift.start
        ]
        made = tuple(theirs.values())[slice(*_differing(list(theirs), own))] if added else ()
        return cls(start, tuple(sorted([*made, *stays], key=lambda shift: shift.arrival)), made)

    @property
    def number(self) -> int:
        return (self.start is not None) + len(self.shifts)


def _differing(theirs: Sequence[Hashable], own: Container[Hashable]) -> tuple[int, int]:
    """From where to where the shifts of a way are its own: between are those that the proposal makes as well."""
    differing = [index for index, key in enumerate(theirs) if key not in own]
    return differing[0], differing[-1] + 1


def positions_words(wording: Wording, positions: Sequence[int]) -> str:
    """Return "third position, then fifth position", or of many "several positions (third position and fifth position)".

    A position that repeats at once is named once.
    """
    names = [position_words(wording, position) for position, _ in groupby(positions)]
    if len(names) > MOST_IN_ORDER:
        return wording.say(excursions.SEVERAL, positions=wording.all_of(list(dict.fromkeys(names))))
    said = names[0]
    for name in names[1:]:
        said = wording.say(excursions.THEN, first=said, next=name)
    return said


def way_label(wording: Wording, plan: Plan, excursion: Excursion, other: Alternative) -> str:
    """Return in what another way differs: "stay in first position", "shift to first position at bar 7, beat 1 …"."""
    if other.kind is AlternativeKind.STAY:
        return wording.say(excursions.STAY)
    steps = _Steps.of(excursion, other)
    if not steps.number and plan.begins_with(excursion):
        # The same positions, but a finger is down sooner.
        return _begin(wording, plan, other, excursion.positions[0])
    if not 0 < steps.number <= MOST_STEPS:
        return wording.say(excursions.OTHER_POSITION, positions=positions_words(wording, other.positions))
    told = []
    if steps.start is not None:
        told.append(_begin(wording, plan, other, steps.start))
    for shift in steps.shifts:
        where = place_words(wording, plan, shift.arrival)
        if shift in steps.made:
            position, notes = shift.goal, played_notes(wording, plan, shift.arrival, other)
            message = _shift_at(excursion, shift) if len(steps.shifts) == 1 else excursions.SHIFT_AT
            told.append(wording.say(message, position=position_words(wording, position), where=where, notes=notes))
        else:
            position = shift.start
            told.append(wording.say(excursions.STAY_THERE, position=position_words(wording, position), where=where))
    return counts_listed(wording, told)


def _shift_at(excursion: Excursion, shift: Shift) -> Message:
    """How a shift is called that is all in which a way differs: the way home may be earlier or later than proposed."""
    home = [own.arrival for own in excursion.shifts if own.goal == HOME_POSITION]
    if shift.goal != HOME_POSITION or not home or home[-1] == shift.arrival:
        return excursions.SHIFT_AT
    return excursions.COME_BACK_EARLIER if shift.arrival < home[-1] else excursions.COME_BACK_LATER


def _begin(wording: Wording, plan: Plan, other: Alternative, position: int) -> str:
    """Where the hand begins, with the first note that a finger stops."""
    first = min(plan.by_note[id].event for id, stop in other.stops.items() if not stop.is_open)
    notes = played_notes(wording, plan, first, other)
    return wording.say(excursions.BEGIN_THERE, position=position_words(wording, position), notes=notes)


def difference_words(wording: Wording, plan: Plan, excursion: Excursion, other: Alternative) -> str:
    """Return how the counts of another way differ from the proposal, and what it costs; "" if none differs."""
    weak = _weak_notes(wording, plan, other)
    found = difference(wording, other.figures, other.proposed, weak)
    price = _price(wording, found, excursion, other)
    if not found.is_better:
        return wording.say(excursions.WAY_NEEDS, counts=found.more) if found.more else ""
    messages = {
        (True, True): (excursions.WAY_NEEDS_AND_AVOIDS, excursions.NEEDS_AND_AVOIDS_BUT),
        (True, False): (excursions.WAY_NEEDS, excursions.NEEDS_BUT),
        (False, True): (excursions.WAY_AVOIDS, excursions.AVOIDS_BUT),
    }[bool(found.fewer), bool(found.avoided)]
    fields = {"counts": found.fewer or found.avoided}
    if found.fewer and found.avoided:
        fields["avoided"] = found.avoided
    said = wording.say(messages[1], price=price, **fields) if price else wording.say(messages[0], **fields)
    if (other.first, other.last) == (excursion.first, excursion.last):
        return said
    own, wider = (bars_words(wording, plan, each.first, each.last) for each in (excursion, other))
    # The last of the shifts that are counted may land later.
    landing = max([other.last, *(shift.arrival for shift in other.shifts if shift.departure <= other.last)])
    bars = bars_words(wording, plan, other.first, landing)
    return said if own == wider else wording.say(excursions.COUNTED_IN, difference=said, bars=bars)


def _weak(plan: Plan, other: Alternative) -> tuple[dict[int, Stop], dict[int, Stop]]:
    """The long notes and trills, by event, that only this way has on an open string or the fourth finger.

    And those that only the proposal has so.
    """
    theirs_only, planned_only = dict[int, Stop](), dict[int, Stop]()
    for index in range(other.first, other.last + 1):
        event, planned = plan.event(index), plan.grip(index)
        if len(event.notes) != 1 or planned is None or len(planned.stops) != 1:
            continue
        theirs, own = other.stops.get(event.notes[0].id), planned.stops[0]
        is_theirs, is_own = theirs is not None and is_weak(event, theirs), is_weak(event, own)
        if theirs is not None and is_theirs and not is_own:
            theirs_only[index] = theirs
        if is_own and not is_theirs:
            planned_only[index] = own
    return theirs_only, planned_only


def _weak_notes(wording: Wording, plan: Plan, other: Alternative) -> tuple[WeakNotes, WeakNotes]:
    """What the two ways have on an open string or the fourth finger; what both have so makes no difference."""
    both = _weak(plan, other)
    # Of staying in first position the figures have what makes a difference already.
    numbers = tuple(map(len, both))
    if other.kind is AlternativeKind.STAY:
        numbers = other.figures.held_weak, other.proposed.held_weak
    theirs, planned = (
        WeakNotes(number, _named(plan, weak), weak_stops_words(wording, plan.passage.instrument, weak.values()))
        for number, weak in zip(numbers, both, strict=True)
    )
    return theirs, planned


def _named(plan: Plan, weak: Mapping[int, Stop]) -> Message:
    """What notes on an open string or the fourth finger are called: long notes, trills, or some of both."""
    named = weak_notes_name(plan, weak)
    # For a trill on an open string the first finger is free.
    on_fourth = all(not stop.is_open for stop in weak.values())
    return excursions.TRILLS_ON_FOURTH if named is excursions.TRILLS_WEAK and on_fourth else named


def _price(wording: Wording, found: Difference, excursion: Excursion, other: Alternative) -> str:
    """What a way costs: what it has more of, or else the aspect in which it takes more effort."""
    if found.more:
        return (
            found.more if found.fewer and not found.avoided else wording.say(excursions.NEEDS_MORE, counts=found.more)
        )
    for aspect, effort in other.dearer.items():
        if effort < LEAST_SAVING or aspect.value not in excursions.PRICES:
            continue
        if aspect is Aspect.PLACE and max(other.positions, default=0) > max(excursion.positions):
            return wording.say(excursions.FURTHER_UP)
        made = len(_Steps.of(excursion, other).made)
        return wording.say(excursions.PRICES[aspect.value], made if aspect is Aspect.SHIFTING else None)
    return ""


def way_sentence(wording: Wording, plan: Plan, excursion: Excursion, other: Alternative, explain: bool = False) -> str:
    """Return another way with its counts beside those of the proposal; with `explain`, what it costs more."""
    label = way_label(wording, plan, excursion, other)
    said = difference_words(wording, plan, excursion, other)
    told = said or label
    if explain and other.rise >= UNSEEN:
        told = wording.say(excursions.COSTS_MORE, way=told, effort=wording.decimal(other.rise))
    return sentence(told if not said else wording.say(excursions.OTHER_WAY, label=label, difference=told))


def saving_words(wording: Wording, saving: Mapping[Aspect, float]) -> str:
    """Return what an excursion saves and costs in effort: "saves 6.3 for string crossings, costs 2.5 for shifting"."""
    gains = [(aspect, effort) for aspect, effort in saving.items() if effort >= LEAST_SAVING]
    costs = [(aspect, -effort) for aspect, effort in saving.items() if -effort >= LEAST_SAVING]
    if gains and costs:
        return wording.say(excursions.SAVES_AND_COSTS, gains=_aspects(wording, gains), costs=_aspects(wording, costs))
    if gains:
        return wording.say(excursions.SAVES, aspects=_aspects(wording, gains))
    return wording.say(excursions.COSTS, aspects=_aspects(wording, costs)) if costs else ""


def _aspects(wording: Wording, items: Sequence[tuple[Aspect, float]]) -> str:
    ranked = sorted(items, key=lambda item: -item[1])
    return wording.all_of(
        [
            wording.say(
                excursions.ASPECT, effort=wording.decimal(effort), aspect=wording.say(excursions.ASPECTS[aspect.value])
            )
            for aspect, effort in ranked
        ]
    )


def pin_text(part: str, pin: Pin) -> str:
    """Return a pin as the option `pin` reads it: "P1@n57:finger=2,string=3,position=3"."""
    constraint = pin.constraint
    named = (("finger", constraint.fingers), ("string", constraint.strings), ("position", constraint.positions))
    decision = ",".join(f"{name}={min(values)}" for name, values in named if values)
    return f"{part}@n{pin.row}:{decision}"
