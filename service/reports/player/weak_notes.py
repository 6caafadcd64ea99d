"""On what long notes sound thin: the open strings and the fourth finger, by name."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rules import Instrument, Plan, Stop

from ...messages.message import Message, Wording
from ...messages.music_words import open_string_words
from ...messages.player import excursions


def weak_notes_name(plan: Plan, events: Iterable[int]) -> Message:
    """Return what notes that sound weak are called: long notes, trills, or some of both."""
    trilled = {plan.event(event).is_trilled for event in events}
    if trilled == {True}:
        return excursions.TRILLS_WEAK
    return excursions.LONG_OR_TRILLED_WEAK if True in trilled else excursions.LONG_WEAK


def weak_words(wording: Wording, plan: Plan, events: Iterable[int]) -> str:
    """Return "the open A string or the 4th finger": what a plan has some events on."""
    grips = (plan.grip(event) for event in events)
    return weak_stops_words(wording, plan.passage.instrument, (stop for grip in grips if grip for stop in grip.stops))


def weak_stops_words(wording: Wording, instrument: Instrument, stops: Iterable[Stop]) -> str:
    """Return the same for stops; those that are neither open nor under the fourth finger are passed over."""
    return wording.any_of(list(dict.fromkeys(_names(wording, instrument, stops))))


def _names(wording: Wording, instrument: Instrument, stops: Iterable[Stop]) -> Iterator[str]:
    for stop in stops:
        if stop.is_open:
            name = open_string_words(wording, instrument, stop.string)
            yield wording.say(excursions.THE_OPEN_STRING, open_string=name)
        elif stop.finger == 4:
            yield wording.say(excursions.THE_FOURTH_FINGER)
