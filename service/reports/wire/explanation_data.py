"""Builds what explains a proposal: anchors by ear, finger patterns, savings, other ways; and the difficulty by bar."""

from __future__ import annotations

from collections.abc import Mapping

from rules import (
    Alternative,
    BarDifficulty,
    ExplainedProposal,
    Explanation,
    FingeredNote,
    FingerPattern,
    by_aspect,
    hardest,
)

from ...messages.message import Wording, sentence
from ..player.hand import hand_words, listen_sentence
from ..player.other_ways import compared, difference_words, is_worth_a_try, pin_text, saving_words, way_label
from .review_answer import AlternativeAnswer, Anchor, BarAnswer, Difficulty, Effort, FingerPlace, Pattern, Saving


def anchors_of(wording: Wording, explanation: Explanation, explained: ExplainedProposal) -> list[Anchor]:
    """Return where the first finger stands in each position of a proposal."""
    instrument = explanation.plan.passage.instrument
    return [
        Anchor(
            position=each.position,
            string=each.string,
            pitch=each.pitch.name,
            how=listen_sentence(wording, instrument, each),
        )
        for each in explained.anchors
    ]


def saving_of(wording: Wording, explained: ExplainedProposal) -> Saving:
    """Return what a proposal saves."""
    return Saving(
        by_aspect={aspect.value: _rounded(value) for aspect, value in explained.saving.items()},
        text=saving_words(wording, explained.saving),
    )


def patterns_of(wording: Wording, explanation: Explanation, explained: ExplainedProposal) -> list[Pattern]:
    """Return the finger patterns of a proposal."""
    return [_pattern(wording, explanation, pattern) for pattern in explained.patterns]


def _pattern(wording: Wording, explanation: Explanation, pattern: FingerPattern) -> Pattern:
    return Pattern(
        position=pattern.position,
        string=pattern.string,
        name=pattern.name,
        fingers=[
            FingerPlace(
                finger=finger,
                pitch=pitch.name,
                place="high" if pattern.is_high(finger) else "low",
                used=finger in pattern.used,
                changes=finger in pattern.changing,
            )
            for finger, pitch in pattern.places.items()
        ],
        text=hand_words(wording, explanation.plan.passage, pattern),
    )


def alternatives_of(
    wording: Wording, explanation: Explanation, explained: ExplainedProposal
) -> list[AlternativeAnswer]:
    """Return the other ways to play the passage of a proposal."""
    return [_alternative(wording, explanation, explained, other) for other in explained.alternatives]


def _alternative(
    wording: Wording, explanation: Explanation, explained: ExplainedProposal, other: Alternative
) -> AlternativeAnswer:
    plan, excursion = explanation.plan, explained.proposal.excursion
    told = compared(explained.proposal, other)
    text = difference_words(wording, plan, excursion, told)
    return AlternativeAnswer(
        kind=other.kind.value,
        label=way_label(wording, plan, excursion, other),
        text=sentence(text) if text else "",
        near=is_worth_a_try(plan, excursion, told),
        positions=list(other.positions),
        figures=dict(other.figures.as_mapping()),
        proposed=dict(other.proposed.as_mapping()),
        effort=_rounded(other.rise),
        pins=[pin_text(plan.passage.part, pin) for pin in other.pins],
    )


def difficulty_of(explanation: Explanation) -> Difficulty:
    """Return the curve of difficulty by bar, and the hardest bars first."""
    return Difficulty(
        bars=[_bar(explanation, bar) for bar in explanation.curve],
        hardest=[_label(explanation, bar) for bar in hardest(explanation.curve)],
    )


def _bar(explanation: Explanation, bar: BarDifficulty) -> BarAnswer:
    return BarAnswer(
        measure=_label(explanation, bar),
        measure_index=bar.measure,
        effort=_rounded(bar.effort),
        seconds=_rounded(bar.seconds),
        per_second=_rounded(bar.per_second),
        shifts=bar.shifts,
        crossings=bar.crossings,
        hard_grips=bar.hard_grips,
    )


def _label(explanation: Explanation, bar: BarDifficulty) -> str:
    return explanation.plan.passage.measures[bar.measure].label


def effort_of(explanation: Explanation, fingered: FingeredNote) -> Effort:
    """Return what the event of a row, and the way to it, cost: the sum, by aspect, and by term."""
    items = explanation.items(fingered.event)
    return Effort(
        total=_rounded(sum(items.values())),
        by_aspect={aspect.value: _rounded(value) for aspect, value in by_aspect(items).items()},
        items=_sorted(items),
    )


def _sorted(items: Mapping[str, float]) -> dict[str, float]:
    return {name: _rounded(value) for name, value in sorted(items.items(), key=lambda item: (-abs(item[1]), item[0]))}


def _rounded(value: float) -> float:
    return round(value, 3) + 0.0
