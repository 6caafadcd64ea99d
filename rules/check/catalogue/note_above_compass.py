"""A note above what the instrument is written for."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Annotated

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.music.instrument import Instrument, Pitch
from rules.music.passage import Note, Technique
from rules.plan.plan import Plan

WHY = """Orchestral parts end about two octaves above the open top string (E7 on the violin), solo music about
two octaves and a half (handbooks of orchestration, from memory). A note beyond comes from a clef or an octave
sign gone wrong far more often than from a composer."""


@dataclass(frozen=True, slots=True)
class Options:
    """Where the compass ends."""

    usual: Annotated[int, "semitones above the open top string up to which orchestral parts go"] = 24
    fingerboard: Annotated[int, "semitones above the open top string at which the fingerboard ends"] = 31


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report runs of notes above the usual compass, each by its highest note; harmonics are left alone.

    So are notes that the part leaves to the player, as far as the fingerboard goes: somebody has thought of them.
    """
    run: list[int] = []
    for index in range(len(plan.passage.events) + 1):
        if index < len(plan.passage.events) and _above(plan, index, options):
            run.append(index)
        elif run:
            yield from _told(plan, run, options)
            run = []


def _told(plan: Plan, run: Sequence[int], options: Options) -> Iterator[Finding]:
    notes = [note for index in run for note in _above(plan, index, options)]
    highest = max(notes, key=lambda note: note.pitch.midi).pitch
    beyond = highest.midi - plan.passage.instrument.open_pitch(1).midi > options.fingerboard
    if beyond or not all(note.ad_libitum for note in notes):
        yield RULE.found("beyond-fingerboard" if beyond else "unusual", plan, run[0], run[-1], pitch=highest.name)


def _above(plan: Plan, index: int, options: Options) -> list[Note]:
    limit = plan.passage.instrument.open_pitch(1).midi + options.usual
    notes = plan.passage.events[index].notes
    return [note for note in notes if note.pitch.midi > limit and Technique.NATURAL_HARMONIC not in note.techniques]


def is_above_compass(pitch: Pitch, instrument: Instrument) -> bool:
    """Return True for a pitch above the usual compass."""
    return pitch.midi > instrument.open_pitch(1).midi + Options().usual


RULE = Rule(
    id="note-above-compass",
    title="A note lies above the instrument",
    rationale=WHY,
    scope=Scope.PROPOSED,
    options=Options(),
    check=check,
    outcomes={
        "unusual": Outcome("$pitch lies above the usual compass", Severity.WARNING, Concern.PRINT),
        "beyond-fingerboard": Outcome("$pitch lies beyond the end of the fingerboard", Severity.ERROR, Concern.PRINT),
    },
)
