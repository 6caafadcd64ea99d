"""House policies: the level of a book, and severities, options and exemptions of rules, each with a reason."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from ..hand.level import DEFAULT_LEVEL, Level
from ..music.passage import Passage
from .review import Flag
from .rule import Concern, Rule, Severity


@dataclass(frozen=True)
class Setting:
    """What a house changes in one rule.

    Attributes:
        reason: why; a policy is read by people who were not in the room.
        enabled: False leaves the rule out.
        severities: by outcome; outcomes that are not named keep their own.
        options: by name; options that are not named keep their default.
    """

    reason: str
    enabled: bool = True
    severities: Mapping[str, Severity] = field(default_factory=dict)
    options: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Exemption:
    """A place where a finding is accepted, with the reason.

    `rule`, `part` (its id or name) and `bars` (first and last label, both included) narrow it down; None is any.
    `label` says which entry of the policy it is.
    """

    reason: str
    rule: str | None = None
    part: str | None = None
    bars: tuple[str, str] | None = None
    label: str = ""

    def covers(self, passage: Passage, flag: Flag) -> bool:
        """True if the finding lies wholly within the bars, and is of the rule and part that are named."""
        if self.rule not in (None, flag.finding.rule) or self.part not in (None, passage.part, passage.name):
            return False
        if self.bars is None:
            return True
        labels = [measure.label for measure in passage.measures]
        if self.bars[0] not in labels or self.bars[1] not in labels:
            return False
        first, last = labels.index(self.bars[0]), len(labels) - 1 - labels[::-1].index(self.bars[1])
        events = passage.events
        return first <= events[flag.finding.first].measure and events[flag.finding.last].measure <= last


@dataclass(frozen=True)
class Policy:
    """What a house asks of a book.

    Attributes:
        name: of the policy, for reports.
        level: positions, kinds of shift and extensions that the book's player knows.
        settings: by rule id.
        exemptions: places where findings are accepted.
        fail_on: the least severity that makes the check fail.
        summary: one sentence for people.
        reports: what findings are about; a rule that has a setting is reported whatever it is about.
    """

    name: str
    level: Level = DEFAULT_LEVEL
    settings: Mapping[str, Setting] = field(default_factory=dict)
    exemptions: tuple[Exemption, ...] = ()
    fail_on: Severity = Severity.ERROR
    summary: str = ""
    reports: frozenset[Concern] = frozenset(Concern)

    def rules(self, catalogue: Iterable[Rule]) -> tuple[Rule, ...]:
        """Return the rules that the house wants, with its severities and options.

        Raises:
            KeyError: if an option or outcome does not exist; the argument is its name.
            TypeError: if an option has a value of another kind (see `Rule.with_options`).
        """
        kept = (rule for rule in catalogue if rule.id not in self.settings or self.settings[rule.id].enabled)
        chosen = (
            _as_set(rule, self.settings[rule.id]) if rule.id in self.settings else _about(rule, self.reports)
            for rule in kept
        )
        return tuple(rule for rule in chosen if rule.silent != rule.outcomes.keys())

    def exempted(self, passage: Passage, flag: Flag) -> Exemption | None:
        """Return the first exemption that accepts a finding, or None."""
        return next((exemption for exemption in self.exemptions if exemption.covers(passage, flag)), None)


def _about(rule: Rule, concerns: frozenset[Concern]) -> Rule:
    silent = frozenset(code for code, outcome in rule.outcomes.items() if outcome.concern not in concerns)
    return replace(rule, silent=silent) if silent else rule


def _as_set(rule: Rule, setting: Setting) -> Rule:
    outcomes = dict(rule.outcomes)
    for code, severity in setting.severities.items():
        outcomes[code] = replace(outcomes[code], severity=severity)
    return replace(rule.with_options(setting.options), outcomes=outcomes)
