"""Holds against the plan where the hand is said to go for a long or trilled note, and where it comes back."""

from __future__ import annotations

import re
from collections.abc import Sequence

from rules import Plan, grips_for
from service.messages.message import Wording
from service.messages.music_words import position_words

ENGLISH = Wording()
REST_FOR_A_SHIFT = 0.1
"""Seconds of rest in which the hand can move."""
ACCIDENTALS = "♯♭𝄪𝄫"


def lies_there(plan: Plan, groups: Sequence[Sequence[int]], told: str) -> bool:
    """Whether the fingers that are told find notes of these bars, or right beside them, in the position."""
    found = re.search(r" in (\w+ position) \(([^)]*)\)", told)
    if found is None:
        return True
    near = {index for events in groups for index in range(min(events) - 8, max(events) + 9)}
    pitches = {pitch for i, event in enumerate(plan.passage.events) if i in near for pitch in event.pitches}
    position = next(n for n in range(19) if position_words(ENGLISH, n) == found[1])
    return all(
        any(
            ENGLISH.note(pitch) == name and grip.stops[0].finger == int(finger) and grip.by_letter
            for pitch in pitches
            for grip in grips_for((pitch,), plan.passage.instrument, frozenset({position}))
        )
        for finger, name in re.findall(rf"(\d) (?:stretched to )?([A-G][{ACCIDENTALS}]*)", found[2])
    )


def comes_back(plan: Plan, event: int, told: str) -> bool:
    """Whether the hand can come back after a note, and those beside it, as it is said."""
    way = re.search(r"(with the notes beside it, )?and (?:(stay there)|come back([^.(]*))", told)
    if way is None:
        return True
    fingers = re.findall(rf"\d ([A-G][{ACCIDENTALS}]*)", told[: way.start()])
    last = event
    while _is_bound(plan, last + 1) and not _is_free(plan, last + 1):
        last += 1
    if way[1]:  # notes up to a rest or an open string may go along as well
        later = [end for end in range(last, last + 3) if _way_is_so(plan, end + 1, way)]
        played = {ENGLISH.note(pitch) for end in later[:1] for i in range(event, end + 1)
                  for pitch in plan.event(i).pitches}  # fmt: skip
        return bool(later) and len(fingers) > 1 and played <= set(fingers)
    return last == event and not _is_bound_back(plan, event) and _way_is_so(plan, event + 1, way)


def _is_bound(plan: Plan, event: int) -> bool:
    return event < len(plan.grips) and plan.event(event).slurred


def _is_bound_back(plan: Plan, event: int) -> bool:
    return _is_bound(plan, event) and not _is_free(plan, event - 1) and plan.grips[event - 1] is not None


def _is_free(plan: Plan, event: int) -> bool:
    """Whether the hand is free to move at an event: after a rest, on an open string, or left out."""
    grip = plan.grip(event)
    return grip is None or grip.is_open or plan.event(event).rest >= REST_FOR_A_SHIFT or grip.position != 1


def _way_is_so(plan: Plan, event: int, way: re.Match[str]) -> bool:
    """Whether the hand can come back before an event as it is said."""
    if event >= len(plan.grips):
        return event == len(plan.grips) and way[2] is not None
    following, grip = plan.event(event), plan.grip(event)
    if way[2]:
        return grip is not None and grip.position != 1
    if grip is None or following.rest >= REST_FOR_A_SHIFT:
        return re.match(r" in the rest after| after", way[3]) is not None
    if found := re.search(r"open ([EADGC]) string", way[3]):
        names = [ENGLISH.note(plan.passage.instrument.open_pitch(stop.string)) for stop in grip.stops]
        return grip.is_open and found[1] in names
    if found := re.search(rf"change of bow, on ([A-G][{ACCIDENTALS}]*)", way[3]):
        return not following.slurred and not grip.is_open and found[1] in map(ENGLISH.note, following.pitches)
    return False
