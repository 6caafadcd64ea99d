"""Other ways to play a passage, and what the proposal saves in effort."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from rules import HOME_POSITION, Alternative, AlternativeKind, Aspect, Excursion, ExplainedProposal, Pin, Plan, Shift

from ...messages.message import Wording, sentence
from ...messages.music_words import place_words, position_words
from ...messages.player import excursions
from .counts import COUNTED, counts_listed, differences, tells

NEARLY_AS_GOOD = 3.0
"""Effort below which another way is offered in a report: about what an ordinary shift costs."""
LEAST_SAVING = 0.5
"""Effort below which a saving is not worth a word: a third of a string crossing."""
UNSEEN = 0.05


def near_ways(explained: ExplainedProposal) -> list[Alternative]:
    """Return the other ways that are worth a try."""
    return [other for other in explained.alternatives if is_worth_a_try(other)]


def is_worth_a_try(other: Alternative) -> bool:
    """Whether another way is nearly as good as the one proposed, and there is clearly less of something that counts."""
    for name, _ in COUNTED:
        number, proposed = getattr(other.figures, name), getattr(other.proposed, name)
        if number < proposed and tells(name, number, proposed):
            return other.rise < NEARLY_AS_GOOD
    return False


def positions_words(wording: Wording, positions: Sequence[int]) -> str:
    """Return "third position, then fifth position"; a position that repeats at once is named once."""
    names = [position_words(wording, position) for position in positions]
    said = names[0]
    for before, name in pairwise(names):
        if name != before:
            said = wording.say(excursions.THEN, first=said, next=name)
    return said


def way_label(wording: Wording, plan: Plan, excursion: Excursion, other: Alternative) -> str:
    """Return in what another way differs: "stay in first position", "shift to first position at bar 7, beat 1"."""
    if other.kind is AlternativeKind.STAY:
        return wording.say(excursions.STAY)
    if other.kind is not AlternativeKind.PLACE:
        return wording.say(excursions.OTHER_POSITION, positions=positions_words(wording, other.positions))
    new, missing = _moved(excursion, other)
    if new:
        return counts_listed(wording, [_shift_at(wording, plan, shift) for shift in new])
    ends = (excursion.shifts[0], excursion.shifts[-1]) if excursion.shifts else ()
    if missing and all(shift in ends for shift in missing):
        return wording.all_of(
            [
                wording.say(excursions.START_THERE, position=position_words(wording, shift.goal))
                if shift.goal != HOME_POSITION
                else wording.say(excursions.STAY_THERE, position=position_words(wording, shift.start))
                for shift in missing
            ]
        )
    return wording.say(excursions.OTHER_PLACE, positions=positions_words(wording, other.positions))


def difference_words(wording: Wording, other: Alternative) -> str:
    """Return how the counts of another way differ from the proposal."""
    better, worse = (counts_listed(wording, counts) for counts in differences(wording, other.figures, other.proposed))
    if better and worse:
        return wording.say(excursions.BETTER_BUT_WORSE, better=better, worse=worse)
    return better or worse or wording.say(excursions.NO_DIFFERENCE)


def way_sentence(wording: Wording, plan: Plan, excursion: Excursion, other: Alternative, explain: bool = False) -> str:
    """Return another way with its counts beside those of the proposal; with `explain`, what it costs more."""
    difference = difference_words(wording, other)
    if explain and other.rise >= UNSEEN:
        difference = wording.say(excursions.COSTS_MORE, way=difference, effort=wording.decimal(other.rise))
    label = way_label(wording, plan, excursion, other)
    return sentence(wording.say(excursions.OTHER_WAY, label=label, difference=difference))


def _shift_at(wording: Wording, plan: Plan, shift: Shift) -> str:
    where, position = place_words(wording, plan, shift.arrival), position_words(wording, shift.goal)
    return wording.say(excursions.SHIFT_AT, position=position, where=where)


def _moved(excursion: Excursion, other: Alternative) -> tuple[list[Shift], list[Shift]]:
    """Shifts that only the other way has, and shifts that only the proposal has."""
    own = {(shift.arrival, shift.goal): shift for shift in excursion.shifts}
    theirs = {(shift.arrival, shift.goal): shift for shift in other.shifts}
    new = [shift for key, shift in theirs.items() if key not in own]
    return new, [shift for key, shift in own.items() if key not in theirs]


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
