"""What explains a proposal, as plain data: other ways, finger patterns, anchors by ear, savings; difficulty by bar."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rules import Advised, Alternative, BarDifficulty, Explanation, FingerPattern, Placed, by_aspect, hardest

from ..advice import alternative_label, alternative_text, anchor_how, pattern_text, pin_text, saving_text


def advised_data(explanation: Explanation, advised: Advised) -> dict[str, Any]:
    """Return what is added to a proposal."""
    plan = explanation.plan
    instrument = plan.passage.instrument
    return {
        "anchors": [
            {"position": a.position, "string": a.string, "pitch": a.pitch.name, "how": anchor_how(instrument, a)}
            for a in advised.anchors
        ],
        "patterns": [_pattern(explanation, pattern) for pattern in advised.patterns],
        "saving": {
            "by_aspect": {aspect.value: _rounded(value) for aspect, value in advised.saving.items()},
            "text": saving_text(advised.saving),
        },
        "alternatives": [_alternative(explanation, advised, other) for other in advised.alternatives],
    }


def _pattern(explanation: Explanation, pattern: FingerPattern) -> dict[str, Any]:
    return {
        "position": pattern.position,
        "string": pattern.string,
        "name": pattern.name,
        "fingers": [
            {
                "finger": finger,
                "pitch": pitch.name,
                "place": "high" if pattern.is_high(finger) else "low",
                "used": finger in pattern.used,
                "changes": finger in pattern.changing,
            }
            for finger, pitch in pattern.places.items()
        ],
        "text": pattern_text(explanation.plan.passage.instrument, pattern),
    }


def _alternative(explanation: Explanation, advised: Advised, other: Alternative) -> dict[str, Any]:
    plan = explanation.plan
    return {
        "kind": other.kind.value,
        "label": alternative_label(advised.proposal.excursion, other),
        "text": alternative_text(plan, advised.proposal.excursion, other),
        "positions": list(other.positions),
        "figures": other.figures.as_mapping(),
        "proposed": other.proposed.as_mapping(),
        "effort": _rounded(other.rise),
        "pins": [pin_text(plan.passage.part, pin) for pin in other.pins],
    }


def difficulty_data(explanation: Explanation) -> dict[str, Any]:
    """Return the curve of difficulty by bar, and the hardest bars first."""
    return {
        "bars": [_bar(explanation, bar) for bar in explanation.curve],
        "hardest": [_label(explanation, bar) for bar in hardest(explanation.curve)],
    }


def _bar(explanation: Explanation, bar: BarDifficulty) -> dict[str, Any]:
    return {
        "measure": _label(explanation, bar),
        "measure_index": bar.measure,
        "effort": _rounded(bar.effort),
        "seconds": _rounded(bar.seconds),
        "per_second": _rounded(bar.per_second),
        "shifts": bar.shifts,
        "crossings": bar.crossings,
        "hard_grips": bar.hard_grips,
    }


def _label(explanation: Explanation, bar: BarDifficulty) -> str:
    return explanation.plan.passage.measures[bar.measure].label


def effort_data(explanation: Explanation, placed: Placed) -> dict[str, Any]:
    """Return what the event of a row, and the way to it, cost: the sum, by aspect, and by term."""
    items = explanation.items(placed.event)
    return {
        "total": _rounded(sum(items.values())),
        "by_aspect": {aspect.value: _rounded(value) for aspect, value in by_aspect(items).items()},
        "items": _sorted(items),
    }


def _sorted(items: Mapping[str, float]) -> dict[str, float]:
    return {name: _rounded(value) for name, value in sorted(items.items(), key=lambda item: (-abs(item[1]), item[0]))}


def _rounded(value: float) -> float:
    return round(value, 3) + 0.0
