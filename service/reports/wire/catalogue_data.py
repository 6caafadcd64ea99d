"""Builds the answers that list the rules and the levels."""

from __future__ import annotations

from rules import LEVELS, all_rules

from .answers import LevelEntry, OutcomeEntry, RuleEntry


def rule_entries() -> list[RuleEntry]:
    """Return the catalogue of rules."""
    return [
        RuleEntry(
            id=rule.id,
            title=rule.title,
            rationale=rule.rationale,
            outcomes={
                code: OutcomeEntry(sentence=outcome.sentence, severity=outcome.severity.word)
                for code, outcome in rule.outcomes.items()
            },
        )
        for rule in all_rules()
    ]


def level_entries() -> list[LevelEntry]:
    """Return the levels."""
    return [
        LevelEntry(
            name=level.name,
            summary=level.summary,
            positions=sorted(level.positions),
            shifts=sorted(kind.value for kind in level.shifts),
            extensions=level.extensions,
        )
        for level in LEVELS.values()
    ]
