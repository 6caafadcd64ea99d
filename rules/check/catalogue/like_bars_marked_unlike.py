"""The same bar with two fingerings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.music.passage import Note
from rules.plan.plan import Plan

WHY = """A motif that comes back wants the fingers it had, unless the change is meant. Two bars of the same
notes with different fingers are mostly two editors, or one editor on two days."""

Shape = tuple[tuple[object, ...], ...]


@dataclass(frozen=True, slots=True)
class Options:
    """What counts as the same."""

    fewest_notes: Annotated[int, "bars with fewer notes are too common to compare"] = 4
    within: Annotated[int, "bars apart at most; further away a different fingering is likely meant"] = 64


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report bars in which a note carries no finger that the same note of the last like bar carries."""
    seen: dict[Shape, tuple[int, tuple[Note, ...]]] = {}
    events = plan.passage.events
    first = 0
    while first < len(events):
        measure, last = events[first].measure, first
        while last < len(events) and events[last].measure == measure:
            last += 1
        bar = events[first:last]
        notes = tuple(note for event in bar for note in event.notes)
        if len(notes) >= options.fewest_notes and any(note.printed.fingers for note in notes):
            shape = tuple((event.beat, event.beats, tuple(n.pitch for n in event.notes)) for event in bar)
            earlier = seen.get(shape)
            if earlier and measure - earlier[0] <= options.within:
                pair = _unlike(earlier[1], notes)
                if pair is not None:
                    label = plan.passage.measures[earlier[0]].label
                    yield RULE.found("unlike", plan, first, last - 1, bar=label, pitch=pair[0].pitch.name,
                                     before=_fingers(pair[0]), now=_fingers(pair[1]))  # fmt: skip
            seen[shape] = (measure, notes)
        first = last


def _unlike(earlier: tuple[Note, ...], notes: tuple[Note, ...]) -> tuple[Note, Note] | None:
    for before, now in zip(earlier, notes, strict=True):
        if (
            before.printed.fingers
            and now.printed.fingers
            and not set(before.printed.fingers) & set(now.printed.fingers)
        ):
            return before, now
    return None


def _fingers(note: Note) -> str:
    return " or ".join(map(str, note.printed.fingers))


RULE = Rule(
    id="like-bars-marked-unlike",
    title="Like bars are fingered unlike",
    rationale=WHY,
    scope=Scope.PRINTED,
    options=Options(),
    check=check,
    outcomes={
        "unlike": Outcome(
            "the same notes as in bar $bar: $pitch had finger $before there, $now here", Severity.NOTE, Concern.PRINT
        )
    },
)
