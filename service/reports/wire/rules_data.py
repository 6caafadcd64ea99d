"""Builds the answers that list the rules and the levels."""

from __future__ import annotations

import re

from rules import LEVELS, Outcome, all_rules

from ...messages.message import Message, Wording
from .answers import LevelEntry, OutcomeEntry, RuleEntry


def rule_entries(wording: Wording | None = None) -> list[RuleEntry]:
    """Return the catalogue of rules, in the language of the wording; in British English without one."""
    say = (wording or Wording()).say
    return [
        RuleEntry(
            id=rule.id,
            title=say(Message(rule.title)),
            rationale=say(Message(" ".join(rule.rationale.split()))),
            outcomes={
                code: OutcomeEntry(sentence=_sentence(outcome, wording), severity=outcome.severity.word)
                for code, outcome in rule.outcomes.items()
            },
        )
        for rule in all_rules()
    ]


def _sentence(outcome: Outcome, wording: Wording | None) -> str:
    """The sentence of an outcome with the places of its facts as they are: `$pitch`."""
    if wording is None or wording.language.is_english:
        return outcome.sentence
    one, many, _ = outcome.templates
    facts = {name: f"${name}" for name in _PLACE.findall(one)}
    return wording.say(Message(one, many), 2, **facts) if many else wording.say(Message(one), **facts)


_PLACE = re.compile(r"\{(\w+)\}")


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
