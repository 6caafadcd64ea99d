"""Why to leave first position, in one sentence."""

from __future__ import annotations

from rules import Plan, PlannedPart, Proposal, Reason

from ...messages import visits
from ...messages.message import Message, Wording, sentence
from ...messages.music_words import open_string_words, position_words
from .counts import instead_of

_COUNTS: dict[Reason, tuple[tuple[str, Message], ...]] = {
    Reason.CROSSINGS: (("crossings", visits.CROSSINGS), ("skips", visits.SKIPS)),
    Reason.HAND: (("stretches", visits.STRETCHES), ("hops", visits.HOPS), ("slides", visits.SLIDES)),
}


def reason_words(wording: Wording, planned: PlannedPart, proposal: Proposal, reason: Reason) -> str:
    """Return one reason: "2 string crossings instead of 34"."""
    if reason is Reason.REACH:
        return _reach(wording, proposal)
    if reason is Reason.TONE:
        return _tone(wording, planned, proposal)
    if reason in _COUNTS:
        return wording.all_of(_counts(wording, proposal, reason))
    return wording.say(visits.AGAIN if reason is Reason.AGAIN else visits.EASE)


def why(wording: Wording, planned: PlannedPart, proposal: Proposal) -> str:
    """Return all reasons as one sentence, what cannot be counted first."""
    said = [reason_words(wording, planned, proposal, r) for r in proposal.reasons if r not in _COUNTS]
    counts = [count for r in proposal.reasons if r in _COUNTS for count in _counts(wording, proposal, r)]
    if counts:
        positions = set(proposal.excursion.positions)
        takes = visits.TAKES if len(positions) == 1 else visits.THIS_WAY_TAKES
        position = position_words(wording, min(positions))
        counted = wording.say(takes, position=position, counts=wording.all_of(counts))
        return sentence(wording.say(visits.BESIDES, reasons=wording.all_of(said), more=counted) if said else counted)
    return sentence(wording.all_of(said))


def _counts(wording: Wording, proposal: Proposal, reason: Reason) -> list[str]:
    """The figures of a reason that fall."""
    return [
        instead_of(wording, message, after, before)
        for name, message in _COUNTS[reason]
        if (after := getattr(proposal.after, name)) < (before := getattr(proposal.before, name))
    ]


def _reach(wording: Wording, proposal: Proposal) -> str:
    lacking, still = proposal.before.unreachable, proposal.after.unreachable
    reach = wording.say(visits.REACH, lacking)
    if not still:
        return reach
    if still == lacking:
        return wording.say(visits.REACH_BEYOND, reach=reach)
    return wording.say(visits.REACH_SOME_BEYOND, still, reach=reach)


def _tone(wording: Wording, planned: PlannedPart, proposal: Proposal) -> str:
    """How many long notes fall on an open string or the fourth finger in first position only, and on which."""
    home, plan = planned.home, planned.plan
    weak = [
        event
        for event in proposal.excursion.events
        if home.counts.held_weak[event] and not plan.counts.held_weak[event]
    ]
    if not weak:
        return instead_of(wording, visits.LONG_WEAK, proposal.after.held_weak, proposal.before.held_weak)
    names = list(dict.fromkeys(name for event in weak for name in _weak_names(wording, home, event)))
    return wording.say(visits.TONE, len(weak), weak=wording.any_of(names))


def _weak_names(wording: Wording, home: Plan, event: int) -> list[str]:
    grip = home.grip(event)
    return [
        wording.say(
            visits.THE_OPEN_STRING, open_string=open_string_words(wording, home.passage.instrument, stop.string)
        )
        if stop.is_open
        else wording.say(visits.THE_FOURTH_FINGER)
        for stop in (grip.stops if grip else ())
        if stop.is_open or stop.finger == 4
    ]
