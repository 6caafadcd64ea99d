"""A natural harmonic where the string has no node."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.hand.harmonics import NODES, PARTIALS
from rules.music.instrument import Instrument
from rules.music.passage import Note, Technique
from rules.plan.plan import Plan

WHY = """A natural harmonic speaks only where the string divides into equal parts: at the octave, the fifth,
the fourth, the major third and the major sixth above the open string, and their counterparts higher up
(acoustics). Touched anywhere else it hisses."""


@dataclass(frozen=True, slots=True)
class Options:
    """Which harmonics are relied on."""

    highest: Annotated[int, "the highest partial that is expected to speak"] = 6


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report natural harmonics that are neither a place to touch nor a note that sounds, on any string allowed."""
    for index, event in enumerate(plan.passage.events):
        for note in event.notes:
            if Technique.NATURAL_HARMONIC not in note.techniques:
                continue
            strings = note.printed.strings or ((event.string,) if event.string else ())
            partial = _partial(note, plan.passage.instrument, strings)
            if partial is None:
                yield RULE.found("no-node", plan, index, pitch=note.pitch.name)
            elif partial > options.highest:
                yield RULE.found("unsure", plan, index, pitch=note.pitch.name, partial=partial)


def _partial(note: Note, instrument: Instrument, strings: tuple[int, ...]) -> int | None:
    """The lowest partial that the note can be, touched or sounding."""
    found = []
    for string in strings or instrument.string_numbers:
        if string not in instrument.string_numbers:
            continue
        above = int(note.pitch.midi - instrument.open_pitch(string).midi)
        found += [partial for partial, semitones in PARTIALS.items() if semitones == above]
        found += [NODES[above]] if above in NODES else []
    return min(found, default=None)


RULE = Rule(
    id="harmonic-without-node",
    title="A natural harmonic has no node",
    rationale=WHY,
    scope=Scope.PRINTED,
    options=Options(),
    check=check,
    unseen="the few natural harmonics in the collections at hand stand where they should",
    outcomes={
        "no-node": Outcome("$pitch is no place of a natural harmonic", Severity.ERROR, Concern.PRINT),
        "unsure": Outcome("$pitch is partial $partial, which hardly speaks", Severity.NOTE),
    },
)
