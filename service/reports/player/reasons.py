"""Why to leave first position: a sentence for every reason."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from rules import Plan, PlannedPart, Proposal, Reason, Spared, ease, is_nearly_as_easy_at_home

from ...messages.message import Message, Wording, sentence
from ...messages.music_words import bar_list, position_words, runs_of_bars
from ...messages.player import excursions
from .counts import WeakNotes, counts_listed, instead_of, telling, tells, weak_instead
from .weak_notes import weak_notes_name, weak_words

MOST_PLACES = 3
"""Long notes whose bars are named; more are only counted."""
LEAST_CROSSINGS = 2
"""String crossings more than in first position from which they are told as a cost."""

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
    counted = list(_counted(wording, proposal, proposal.reasons))
    told = [*said, *counted]
    is_compared = bool(counted) or Reason.REACH not in proposal.reasons
    if more := _costs(wording, planned, proposal, is_compared=is_compared):
        if counted:
            only_needs = all(after for _, after, _ in _falling(proposal, proposal.reasons))
            message = excursions.BUT if only_needs else excursions.BUT_NEEDS
            told[-1] = wording.say(message, reason=told[-1], counts=more)
        else:
            told.append(wording.say(excursions.BUT_THE_WAY_NEEDS, way=_way(wording, proposal), counts=more))
    return " ".join(map(sentence, told))


def _way(wording: Wording, proposal: Proposal) -> str:
    position = _only_position(proposal)
    return wording.say(excursions.THIS_WAY) if position is None else position_words(wording, position)


def _costs(wording: Wording, planned: PlannedPart, proposal: Proposal, *, is_compared: bool) -> str:
    """What there is clearly more of as proposed than in first position: "6 string crossings instead of 2".

    One string crossing more is not worth a word. Shifts are told by themselves, one by one. Where first position
    lacks notes and nothing else is compared with it (`is_compared`), only weak notes are told.
    """
    after, before = proposal.after, proposal.before
    messages = {name: message for counts in _COUNTS.values() for name, message in counts}
    rising = [
        (messages[name], number, other)
        for name, number, other in telling(after, before, messages)
        if is_compared
        and number - other >= (LEAST_CROSSINGS if name == "crossings" else 1)
        and tells(name, number, other)
    ]
    more = [instead_of(wording, *each) for each in rising]
    colder, warmer = proposal.colder, proposal.warmer
    if Reason.TONE not in proposal.reasons and len(colder) > len(warmer):
        weak = weak_words(wording, planned.plan, colder), weak_words(wording, planned.home, warmer)
        own, others = (
            WeakNotes(len(colder), weak_notes_name(planned.plan, colder), weak[0]),
            WeakNotes(len(warmer), weak_notes_name(planned.plan, warmer), weak[1]),
        )
        more.append(weak_instead(wording, own, others))
    if any(other for _, _, other in rising):
        return counts_listed(wording, more)
    return wording.all_of(more)


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
    way = _way(wording, proposal)
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
    trills = [event for event in proposal.warmer if planned.plan.event(event).is_trilled]
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
        fields["bars"] = _places(wording, plan, events, proposal.colder)
    return wording.say(message, len(events), **fields)


def _places(wording: Wording, plan: Plan, events: Sequence[int], others: Sequence[int]) -> str:
    """The bars of some notes; where a note of the other kind stands in one of them, each note is named as well."""
    bars = {plan.event(event).measure for event in events}
    is_told_apart = bars.isdisjoint(plan.event(event).measure for event in others)
    if is_told_apart or max(len(events), len(others)) > MOST_PLACES:
        return _bars(wording, plan, events)
    return wording.all_of(
        [
            wording.say(
                excursions.PLAYED.only,
                note=wording.all_of([wording.note(pitch) for pitch in plan.event(event).pitches]),
                bars=_bars(wording, plan, [event]),
            )
            for event in events
        ]
    )


def _but_elsewhere(wording: Wording, planned: PlannedPart, proposal: Proposal, said: str) -> str:
    """What is gained in tone, and what is lost."""
    events = proposal.colder
    if not events:
        return said
    weak = weak_words(wording, planned.plan, events)
    message = (
        excursions.TONE_BUT_TRILLS if all(planned.plan.event(e).is_trilled for e in events) else excursions.TONE_BUT
    )
    bars = _places(wording, planned.plan, events, proposal.warmer)
    return wording.say(message, len(events), tone=said, bars=bars, weak=weak)


def _bars(wording: Wording, plan: Plan, events: Iterable[int]) -> str:
    return bar_list(wording, runs_of_bars(plan.passage, [plan.event(event).measure for event in events]))


def _only_position(proposal: Proposal) -> int | None:
    positions = set(proposal.excursion.positions)
    return min(positions) if len(positions) == 1 else None
