"""Going to another position for a long or trilled note: what is taken along, and where the hand comes back."""

from __future__ import annotations

from collections.abc import Sequence

from rules import HOME_POSITION, REST_FOR_A_SHIFT, Grip, Pitch, Plan, grips_for

from ...messages.message import Message, Wording
from ...messages.music_words import open_string_words
from ...messages.player import choices

_LONGEST = 8
"""So many notes at most are taken along: with more it is another fingering, and no way out for one note."""
_WORTH_THE_WAY = 0.5
"""Seconds; for less nobody goes to another position and back."""
_SOON = 2
"""So many notes before a rest or an open string the hand rather waits for it than comes back at a change of bow."""


def there(plan: Plan, events: Sequence[int], position: int) -> range | None:
    """Return which notes are played in another position for the sake of some that follow one another.

    The hand goes there and comes back where the bow changes, in a rest or over an open string: what is slurred to the
    notes is played there too, and what stands between them and a rest or open string close by. None if what is slurred
    to them does not lie there, or if it is all too short to go there.
    """
    first, last = min(events), max(events)
    while _is_bound(plan, first - 1, first) and not _is_at_hand(plan.grip(first - 1), position):
        first -= 1
    while _is_bound(plan, last, last + 1) and not _is_at_hand(plan.grip(last + 1), position):
        last += 1
    bound = range(first, last + 1)
    if sum(plan.event(event).seconds for event in bound) < _WORTH_THE_WAY:
        return None
    strings = [_string(plan, event, position) for event in bound]
    if len(bound) > _LONGEST or not all(map(_beside, strings, strings[1:] or strings)):
        return None
    return range(first, _until_it_is_easy(plan, last, position) + 1)


def _until_it_is_easy(plan: Plan, last: int, position: int) -> int:
    """The last of the notes before a rest or an open string, if there is one soon; else the note itself."""
    for event in range(last, last + _SOON + 1):
        if event > last and not _beside(*(_string(plan, each, position) for each in (event - 1, event))):
            break
        if event + 1 == len(plan.grips):
            return event
        following = plan.grip(event + 1)
        if following is None:
            break
        if plan.event(event + 1).rest >= REST_FOR_A_SHIFT or following.is_open:
            return event
    return last


def follows_at_once(plan: Plan, before: int, after: int) -> bool:
    """Whether nothing lies between two events that follow one another, no rest and no note that is left out."""
    if before < 0 or after >= len(plan.grips) or None in (plan.grip(before), plan.grip(after)):
        return False
    return plan.event(after).rest < REST_FOR_A_SHIFT


def _is_bound(plan: Plan, before: int, after: int) -> bool:
    """Whether one bow, or a grace note, binds two events."""
    return follows_at_once(plan, before, after) and (plan.event(after).slurred or plan.event(before).grace)


def _is_at_hand(grip: Grip | None, position: int) -> bool:
    """Whether the hand is free at a grip, or in the position already."""
    return grip is not None and (grip.is_open or grip.position == position)


def _string(plan: Plan, event: int, position: int) -> int | None:
    """The string on which a single note lies in a position under its own finger; None if it does not lie there."""
    pitches = plan.event(event).pitches
    if len(pitches) > 1 or plan.event(event).held:
        return None
    grips = grips_for(pitches, plan.passage.instrument, frozenset({position}))
    return min((grip.stops[0].string for grip in grips if grip.plain and not grip.is_open), default=None)


def _beside(before: int | None, after: int | None) -> bool:
    """Whether the bow goes from one string to the other without passing over a third."""
    return before is not None and after is not None and abs(before - after) <= 1


def pitches_there(plan: Plan, outings: Sequence[range]) -> list[Pitch]:
    """Return the notes that are played in the other position, each once, in their order."""
    return list(dict.fromkeys(pitch for events in outings for event in events for pitch in plan.event(event).pitches))


def way_back(wording: Wording, plan: Plan, outings: Sequence[range], position: int, *, more: bool) -> str:
    """Return where the hand comes back from a position, or that it stays there.

    With `more` other notes beside the long or trilled ones are played there too.
    """
    ways = [_way(wording, plan, events, position) for events in outings]
    kind, fields = ways[0]
    if len(ways) > 1:
        each = choices.EACH_TIME.get(kind, choices.COME_BACK_EACH_TIME)
        kind = each if all(other == kind for other, _ in ways) else choices.COME_BACK_EACH_TIME
        fields = {}
    return wording.say(kind[more], **fields)


def _way(wording: Wording, plan: Plan, events: range, position: int) -> tuple[tuple[Message, Message], dict[str, str]]:
    after = events[-1] + 1
    if after == len(plan.grips):
        return choices.STAY_THERE, {}
    grip, event = plan.grip(after), plan.event(after)
    if grip is None:
        return choices.COME_BACK, {}
    if event.rest >= REST_FOR_A_SHIFT:
        return choices.COME_BACK_IN_THE_REST, {}
    if grip.is_open:
        open_string = open_string_words(wording, plan.passage.instrument, grip.stops[-1].string)
        return choices.COME_BACK_OVER_OPEN, {"open_string": open_string}
    if grip.position == position and position != HOME_POSITION:
        return choices.STAY_THERE, {}
    note = wording.all_of([wording.note(pitch) for pitch in event.pitches])
    return choices.COME_BACK_AT_THE_BOW, {"note": note}
