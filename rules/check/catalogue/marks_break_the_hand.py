"""Printed marks that ask the hand to be in two places."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.hand.grip import frame_excess
from rules.marks.printed_marks import MarkedEvent, is_reachable, marked_events, marked_stops
from rules.music.passage import REST_FOR_A_SHIFT, Technique
from rules.plan.plan import Plan

WHY = """Every printed finger ties the hand to a position. When two of them, a moment apart, cannot be had
from positions that the hand can travel between in that moment, or one alone calls it away from where those
around it leave it, a digit is wrong or a mark comes from another edition."""


@dataclass(frozen=True, slots=True)
class Options:
    """What the hand can do."""

    start: Annotated[float, "seconds that any shift takes"] = 0.1
    each: Annotated[float, "seconds for every position travelled"] = 0.06
    least: Annotated[int, "positions; a shorter way is never a jump"] = 2
    there_and_back: Annotated[float, "seconds within which no single mark calls the hand away and lets it return"] = 1.0


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report two marks that force a longer way than their time allows, and one that disagrees with its neighbours."""
    marked = list(marked_events(plan.passage, REST_FOR_A_SHIFT))
    for number in range(1, len(marked)):
        before, now = marked[number - 1], marked[number]
        if before.positions & now.positions or _announced(plan, now):
            continue
        start, goal = _nearest(before, now)
        distance = abs(start - goal)
        facts = {"start": start, "goal": goal, "milliseconds": round(1000 * min(now.seconds, 999))}
        if distance >= options.least and now.seconds < options.start + options.each * distance:
            yield RULE.found("jump", plan, before.event, now.event, **facts)
        elif number + 1 < len(marked) and _odd(plan, before, now, marked[number + 1], options.there_and_back):
            facts["milliseconds"] = round(1000 * (now.seconds + marked[number + 1].seconds))
            yield RULE.found("odd-one-out", plan, now.event, **facts)


def _nearest(before: MarkedEvent, now: MarkedEvent) -> tuple[int, int]:
    return min(
        ((a, b) for a in before.positions for b in now.positions), key=lambda pair: (abs(pair[0] - pair[1]), pair)
    )


def _odd(plan: Plan, before: MarkedEvent, now: MarkedEvent, after: MarkedEvent, seconds: float) -> bool:
    """True if the marks before and after share a position which has this note too, and the one between does not."""
    shared = before.positions & after.positions
    if after.event - before.event > 2:
        return False  # the notes between may lead there and back
    if not shared or now.positions & after.positions or now.seconds + after.seconds > seconds:
        return False
    event, instrument = plan.event(now.event), plan.passage.instrument
    return any(is_reachable(event, instrument, p) for p in shared) and not any(
        _nearly(plan, now.event, p) for p in shared
    )


def _nearly(plan: Plan, index: int, position: int) -> bool:
    """True if the marked fingers only lie a semitone outside the frame, as in chromatic runs and wide chords."""
    event = plan.event(index)
    marked = [note for note in event.notes if note.printed]
    return all(
        any(
            stop.is_open or abs(frame_excess(stop.semitones, stop.finger, position)) <= 1
            for stop, _ in marked_stops(note, event, plan.passage.instrument)
        )
        for note in marked
    )


def _announced(plan: Plan, now: MarkedEvent) -> bool:
    """A position in words or a printed slide says that the leap is meant."""
    arrival = plan.event(now.event)
    return arrival.position is not None or any(Technique.GLISSANDO in note.techniques for note in arrival.notes)


RULE = Rule(
    id="marks-break-the-hand",
    title="Printed marks break the hand",
    rationale=WHY,
    scope=Scope.PRINTED,
    options=Options(),
    check=check,
    outcomes={
        "jump": Outcome(
            "the marks ask for positions $start and $goal within $milliseconds ms", Severity.WARNING, Concern.PRINT
        ),
        "odd-one-out": Outcome(
            "one mark calls the hand from position $start to $goal, and it is wanted back within $milliseconds ms",
            Severity.WARNING,
            Concern.PRINT,
        ),
    },
)
