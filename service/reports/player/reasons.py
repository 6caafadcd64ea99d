"""Why to leave first position: a sentence for every reason."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from rules import Plan, PlannedPart, Proposal, Reason, Spared, ease, is_nearly_as_easy_at_home

from ...messages.message import Message, Wording, sentence
from ...messages.music_words import bar_list, position_words, runs_of_bars
from ...messages.player import excursions
from .counts import counts_listed, instead_of, telling
from .weak_notes import is_trilled, weak_words

MOST_PLACES = 3
"""Long notes whose bars are named; more are only counted."""

_COUNTS: dict[Reason, tuple[tuple[str, Message], ...]] = {
    Reason.CROSSINGS: (("crossings", excursions.CROSSINGS), ("skips", excursions.SKIPS)),
    Reason.HAND: (("stretches", excursions.STRETCHES), ("hops", excursions.HOPS), ("slides", excursions.SLIDES)),
}
_SPARED = {
    Spared.SEMITONE_SLIDES: excursions.SEMITONE_SLIDES,
    Spared.OPEN: excursions.OPEN_NOTES,
    Spared.FOURTH: excursions.FOURTH_NOTES,
}

COUNTED_REASONS = frozenset(_COUNTS)
"""The reasons that compare counts, ways in and out included."""


def reason_words(wording: Wording, planned: PlannedPart, proposal: Proposal, reason: Reason) -> str:
    """Return one reason: "third position needs 2 string crossings instead of 34"."""
    if reason is Reason.REACH:
        return wording.all_of(_reach(wording, planned, proposal))
    if reason is Reason.TONE:
        return wording.all_of(_tone(wording, planned, proposal))
    if reason in _COUNTS:
        return "".join(_counted(wording, proposal, (reason,)))
    if reason is Reason.AGAIN:
        return wording.say(excursions.AGAIN)
    return wording.all_of(_eased(wording, planned, proposal))


def why(wording: Wording, planned: PlannedPart, proposal: Proposal) -> str:
    """Return all reasons, a sentence each; what can be counted comes last, in one sentence."""
    said: list[str] = []
    for reason in proposal.reasons:
        if reason is Reason.REACH:
            said += _reach(wording, planned, proposal)
        elif reason is Reason.TONE:
            said += _tone(wording, planned, proposal)
        elif reason is Reason.EASE:
            said += _eased(wording, planned, proposal)
        elif reason not in _COUNTS:
            said.append(reason_words(wording, planned, proposal, reason))
    told = [*said, *_counted(wording, proposal, proposal.reasons)]
    return " ".join(map(sentence, told))


def _eased(wording: Wording, planned: PlannedPart, proposal: Proposal) -> list[str]:
    """What falls where no other reason is counted, and whether first position is nearly as easy."""
    if lacking := _reach(wording, planned, proposal, beyond=True):
        return lacking
    said = list(_counted(wording, proposal, _COUNTS))
    if not said and (found := ease(planned, proposal.excursion)):
        said += _compared(wording, proposal, [(_SPARED[found.spared], found.after, found.before)])
    if not is_nearly_as_easy_at_home(planned, proposal.excursion):
        return said or [wording.say(excursions.EASE)]
    if not said:
        return [wording.say(excursions.NEARLY_AS_EASY)]
    return [wording.say(excursions.NEARLY_AS_EASY_BESIDES, reason="".join(said))]


def _counted(wording: Wording, proposal: Proposal, reasons: Iterable[Reason]) -> Iterator[str]:
    """Yield what there is less of, and what is avoided: "third position needs 2 string crossings instead of 5"."""
    return _compared(wording, proposal, list(_falling(proposal, reasons)))


def _compared(wording: Wording, proposal: Proposal, falling: Sequence[tuple[Message, int, int]]) -> Iterator[str]:
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
    """Yield the figures of some reasons that fall: what is counted, how much there is of it, and in first position."""
    messages = {name: message for reason in reasons for name, message in _COUNTS.get(reason, ())}
    for name, after, before in telling(proposal.after, proposal.before, messages):
        if after < before:
            yield messages[name], after, before


def _reach(wording: Wording, planned: PlannedPart, proposal: Proposal, *, beyond: bool = False) -> list[str]:
    """What first position lacks: so many notes, then double stops and chords with their bars.

    What the level lacks altogether is told only if it is asked for (`beyond`).
    """
    lacking = proposal.out_of_reach
    found = []
    if lacking.notes > (0 if beyond else lacking.notes_beyond):
        reach = wording.say(excursions.REACH, lacking.notes)
        found.append(_some_beyond(wording, reach, lacking.notes, lacking.notes_beyond))
    if len(lacking.together) > (0 if beyond else len(lacking.together_beyond)):
        plan = planned.plan
        size = max(len(plan.event(event).notes) + len(plan.event(event).held) for event in lacking.together)
        message = excursions.NOT_TOGETHER[min(size, max(excursions.NOT_TOGETHER))]
        reach = wording.say(message, len(lacking.together), bars=_bars(wording, plan, lacking.together))
        found.append(_some_beyond(wording, reach, len(lacking.together), len(lacking.together_beyond)))
    return found


def _some_beyond(wording: Wording, reach: str, number: int, beyond: int) -> str:
    if not beyond:
        return reach
    message = excursions.REACH_ALL_BEYOND if beyond == number else excursions.REACH_SOME_BEYOND
    return wording.say(message, beyond, reach=reach)


def _tone(wording: Wording, planned: PlannedPart, proposal: Proposal) -> list[str]:
    """How many long notes fall on an open string or the fourth finger in first position only, on which, and where.

    Trills are told apart, since they need a finger above the note. What is lost is told with what is gained first.
    """
    trills = [event for event in proposal.warmer if is_trilled(planned.plan, event)]
    held = [event for event in proposal.warmer if event not in trills]
    said = [_warmer(wording, planned, proposal, held)] if held else []
    on_open = [event for event in trills if (grip := planned.home.grip(event)) is not None and grip.is_open]
    on_fourth = [event for event in trills if event not in on_open]
    for message, events in ((excursions.TRILLS_ON_THE_FOURTH, on_fourth), (excursions.TRILLS, on_open)):
        if events:
            fields = {"bars": _bars(wording, planned.plan, events), "weak": weak_words(wording, planned.home, events)}
            said.append(wording.say(message, len(events), **fields))
    return [_but_elsewhere(wording, planned, proposal, said[0]), *said[1:]] if said else []


def _warmer(wording: Wording, planned: PlannedPart, proposal: Proposal, events: Sequence[int]) -> str:
    """Long notes on an open string or the fourth finger in first position only: how many, on which, and where."""
    plan = planned.plan
    position = _only_position(proposal)
    fields = {"weak": weak_words(wording, planned.home, events)}
    if position is not None:
        fields["position"] = position_words(wording, position)
    one_bar = plan.event(proposal.excursion.first).measure == plan.event(proposal.excursion.last).measure
    if one_bar or len(events) > MOST_PLACES:
        message = excursions.TONE_THIS_WAY if position is None else excursions.TONE
    else:
        message = excursions.TONE_THIS_WAY_IN if position is None else excursions.TONE_IN
        fields["bars"] = _bars(wording, plan, events)
    return wording.say(message, len(events), **fields)


def _but_elsewhere(wording: Wording, planned: PlannedPart, proposal: Proposal, said: str) -> str:
    """What is gained in tone, and what is lost."""
    events = proposal.colder
    if not events:
        return said
    weak = weak_words(wording, planned.plan, events)
    message = excursions.TONE_BUT_TRILLS if all(is_trilled(planned.plan, e) for e in events) else excursions.TONE_BUT
    return wording.say(message, len(events), tone=said, bars=_bars(wording, planned.plan, events), weak=weak)


def _bars(wording: Wording, plan: Plan, events: Iterable[int]) -> str:
    return bar_list(wording, runs_of_bars(plan.passage, [plan.event(event).measure for event in events]))


def _only_position(proposal: Proposal) -> int | None:
    positions = set(proposal.excursion.positions)
    return min(positions) if len(positions) == 1 else None
