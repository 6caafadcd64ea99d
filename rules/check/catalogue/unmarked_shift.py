"""A shift that the player is not told of."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.hand.grip import HOME_POSITION
from rules.marks.printed_marks import has_mark, is_reachable
from rules.music.passage import Event
from rules.plan.plan import Plan, Shift

WHY = """Where the notes force the hand away and the part prints neither a finger nor a position, a player of
this level cannot know where to go, and finds out on the wrong note. One digit on the arrival is enough."""


class Needs(StrEnum):
    """What has to be printed at a shift."""

    ANY = "any"
    FINGER = "finger"
    POSITION = "position"


@dataclass(frozen=True, slots=True)
class Options:
    """What a house asks for."""

    needs: Annotated[Needs, "what is to be printed: any (finger, string or position), finger, position"] = Needs.ANY
    home: Annotated[bool, "the shift back to first position is to be marked as well"] = False
    every: Annotated[bool, "also shifts that only this plan makes and the notes do not force"] = False


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report each shift that a note or a mark forces, and that nothing announces up to that note."""
    for number, shift in enumerate(plan.shifts):
        following = plan.shifts[number + 1].arrival if number + 1 < len(plan.shifts) else len(plan.passage.events)
        forced = shift.arrival if options.every else _forced(plan, shift, following)
        if forced is None or (shift.goal == HOME_POSITION and not options.home):
            continue
        if not any(_announces(plan.event(i), options.needs) for i in range(shift.arrival, forced + 1)):
            pitch = plan.event(forced).notes[-1].pitch.name
            yield RULE.found(
                "home" if shift.goal == HOME_POSITION else "away",
                plan,
                shift.arrival,
                forced,
                start=shift.start,
                goal=shift.goal,
                pitch=pitch,
            )


def _forced(plan: Plan, shift: Shift, following: int) -> int | None:
    """The first event after the shift that the position left behind does not reach, or that carries a mark."""
    for index in range(shift.arrival, following):
        event = plan.event(index)
        if has_mark(event) or not is_reachable(event, plan.passage.instrument, shift.start):
            return index
    return None


def _announces(event: Event, needs: Needs) -> bool:
    finger = any(f for note in event.notes for f in note.printed.fingers)
    if needs is Needs.FINGER:
        return finger
    if needs is Needs.POSITION:
        return event.position is not None
    return finger or event.position is not None or any(note.printed.strings for note in event.notes)


RULE = Rule(
    id="unmarked-shift",
    title="A shift is not marked",
    rationale=WHY,
    scope=Scope.PROPOSED,
    options=Options(),
    check=check,
    outcomes={
        "away": Outcome(
            "the shift from position $start to $goal is not marked; $pitch asks for it at the latest",
            Severity.NOTE,
            Concern.LEVEL,
        ),
        "home": Outcome("the shift from position $start home to $goal is not marked", Severity.NOTE, Concern.LEVEL),
    },
)
