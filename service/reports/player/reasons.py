"""Why to leave first position: a sentence for every reason."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rules import Plan, PlannedPart, Proposal, Reason

from ...messages.message import Message, Wording, sentence
from ...messages.music_words import open_string_words, position_words
from ...messages.player import excursions
from .counts import counts_listed, instead_of, tells

_COUNTS: dict[Reason, tuple[tuple[str, Message], ...]] = {
    Reason.CROSSINGS: (("crossings", excursions.CROSSINGS), ("skips", excursions.SKIPS)),
    Reason.HAND: (("stretches", excursions.STRETCHES), ("hops", excursions.HOPS), ("slides", excursions.SLIDES)),
}


def reason_words(wording: Wording, planned: PlannedPart, proposal: Proposal, reason: Reason) -> str:
    """Return one reason: "third position needs 2 string crossings instead of 34"."""
    if reason is Reason.REACH:
        return _reach(wording, proposal)
    if reason is Reason.TONE:
        return _tone(wording, planned, proposal)
    if reason in _COUNTS:
        return "".join(_counted(wording, proposal, (reason,)))
    return wording.say(excursions.AGAIN if reason is Reason.AGAIN else excursions.EASE)


def why(wording: Wording, planned: PlannedPart, proposal: Proposal) -> str:
    """Return all reasons, a sentence each; what can be counted comes last, in one sentence."""
    said = [reason_words(wording, planned, proposal, reason) for reason in proposal.reasons if reason not in _COUNTS]
    return " ".join(sentence(text) for text in [*said, *_counted(wording, proposal, proposal.reasons)])


def _counted(wording: Wording, proposal: Proposal, reasons: Iterable[Reason]) -> Iterator[str]:
    """Yield what there is less of, and what is avoided: "third position needs 2 string crossings instead of 5"."""
    falling = list(_falling(proposal, reasons))
    needed = [instead_of(wording, message, after, before) for message, after, before in falling if after]
    avoided = [wording.say(message, before) for message, after, before in falling if not after]
    position = _only_position(proposal)
    way = wording.say(excursions.THIS_WAY) if position is None else position_words(wording, position)
    if needed and avoided:
        yield wording.say(
            excursions.NEEDS_AND_AVOIDS, way=way, counts=counts_listed(wording, needed), avoided=wording.all_of(avoided)
        )
    elif needed:
        yield wording.say(excursions.NEEDS, way=way, counts=counts_listed(wording, needed))
    elif avoided:
        yield wording.say(excursions.AVOIDS, way=way, counts=wording.all_of(avoided))


def _falling(proposal: Proposal, reasons: Iterable[Reason]) -> Iterator[tuple[Message, int, int]]:
    """Yield the figures of some reasons that fall: what is counted, how much there is of it, and in first position.

    One that hardly falls is left out, unless none falls by more.
    """
    falling = [
        (tells(name, after, before), (message, after, before))
        for reason in reasons
        for name, message in _COUNTS.get(reason, ())
        if (after := getattr(proposal.after, name)) < (before := getattr(proposal.before, name))
    ]
    any_tells = any(telling for telling, _ in falling)
    yield from (counts for telling, counts in falling if telling or not any_tells)


def _reach(wording: Wording, proposal: Proposal) -> str:
    lacking, still = proposal.before.unreachable, proposal.after.unreachable
    reach = wording.say(excursions.REACH, lacking)
    if not still:
        return reach
    if still == lacking:
        return wording.say(excursions.REACH_BEYOND, reach=reach)
    return wording.say(excursions.REACH_SOME_BEYOND, still, reach=reach)


def _tone(wording: Wording, planned: PlannedPart, proposal: Proposal) -> str:
    """How many long notes fall on an open string or the fourth finger in first position only, and on which."""
    home, plan = planned.home, planned.plan
    weak = [
        event
        for event in proposal.excursion.events
        if home.counts.held_weak[event] and not plan.counts.held_weak[event]
    ]
    if not weak:
        return instead_of(wording, excursions.LONG_WEAK, proposal.after.held_weak, proposal.before.held_weak)
    names = wording.any_of(list(dict.fromkeys(name for event in weak for name in _weak_names(wording, home, event))))
    if (position := _only_position(proposal)) is None:
        return wording.say(excursions.TONE_THIS_WAY, len(weak), weak=names)
    return wording.say(excursions.TONE, len(weak), weak=names, position=position_words(wording, position))


def _only_position(proposal: Proposal) -> int | None:
    positions = set(proposal.excursion.positions)
    return min(positions) if len(positions) == 1 else None


def _weak_names(wording: Wording, home: Plan, event: int) -> list[str]:
    grip = home.grip(event)
    return [
        wording.say(
            excursions.THE_OPEN_STRING, open_string=open_string_words(wording, home.passage.instrument, stop.string)
        )
        if stop.is_open
        else wording.say(excursions.THE_FOURTH_FINGER)
        for stop in (grip.stops if grip else ())
        if stop.is_open or stop.finger == 4
    ]
