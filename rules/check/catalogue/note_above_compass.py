"""A note above what the instrument is written for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.music.passage import Technique
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
    """Report runs of notes above the usual compass, each by its highest note; harmonics are left alone."""
    top = plan.passage.instrument.open_pitch(1)
    limit = top.midi + options.usual
    run: list[int] = []
    highest = top
    for index, event in enumerate(plan.passage.events):
        peak = top
        for note in event.notes:
            if note.pitch.midi > max(limit, peak.midi) and Technique.NATURAL_HARMONIC not in note.techniques:
                peak = note.pitch
        if peak is not top:
            highest = peak if not run or peak.midi > highest.midi else highest
            run.append(index)
        elif run:
            outcome = "beyond-fingerboard" if highest.midi - top.midi > options.fingerboard else "unusual"
            yield RULE.found(outcome, plan, run[0], run[-1], pitch=highest.name)
            run = []
    if run:
        outcome = "beyond-fingerboard" if highest.midi - top.midi > options.fingerboard else "unusual"
        yield RULE.found(outcome, plan, run[0], run[-1], pitch=highest.name)


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
