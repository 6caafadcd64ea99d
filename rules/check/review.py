"""The review of one part: the plan, its proposals, and the findings of the rules.

A finding that holds in first position but not in the proposed plan is answered by the proposal that covers it. A
finding in the proposed plan is left to the player. What the part itself leaves to the player is only noted.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from ..cost.context import Character
from ..cost.standard_terms import STANDARD, Weights
from ..hand.level import Level
from ..hand.required_level import RequiredLevel, required_level
from ..marks.constraints import Decisions
from ..music.passage import Passage
from ..plan.counted_figures import Figures, figures
from ..plan.plan import Plan
from ..proposal.explanation import Explanation, explain
from ..proposal.part_memory import PartMemory
from ..proposal.proposal import PlannedPart, propose
from ..search.planner import NO_DECISIONS
from .catalogue import all_rules
from .causes import first_of_each_cause
from .rule import Concern, Finding, Rule, Scope, Severity

OWN_CHOICES = frozenset({"shift-without-time", "shift-under-slur", "excursion-for-one-note"})
"""Rules about where the hand moves: nobody is warned of what the plan chose by itself."""


@dataclass(frozen=True, slots=True)
class Flag:
    """A finding with its severity and wording, and the number (from 0) of the proposal that answers it, or None."""

    finding: Finding
    severity: Severity
    sentence: str
    answered_by: int | None

    def finding_events(self) -> range:
        """Return the events of the finding."""
        return range(self.finding.first, self.finding.last + 1)


@dataclass(frozen=True, eq=False)
class Review:
    """The review of one part, worked out lazily."""

    planned: PlannedPart
    rules: tuple[Rule, ...]

    @property
    def passage(self) -> Passage:
        """The part."""
        return self.planned.plan.passage

    @property
    def plan(self) -> Plan:
        """The proposed plan."""
        return self.planned.plan

    @cached_property
    def flags(self) -> tuple[Flag, ...]:
        """The findings of all rules, by place."""
        return flag(self.planned, self.rules)

    @cached_property
    def need(self) -> RequiredLevel:
        """The level that the part needs."""
        return self.planned.first_position.memory.remembered("need", lambda: required_level(self.passage))

    @cached_property
    def counts(self) -> Figures:
        """Figures of the whole part as proposed."""
        return figures(self.plan)

    @cached_property
    def explanation(self) -> Explanation:
        """Why and how: savings, other ways, finger patterns, anchors, difficulty by bar, the cost of every note."""
        return explain(self.planned)


def review_passage(
    passage: Passage,
    level: Level,
    decisions: Decisions = NO_DECISIONS,
    character: Character = Character.FROM_THE_PART,
    rules: Iterable[Rule] | None = None,
    weights: Weights = STANDARD,
    memory: PartMemory | None = None,
) -> Review:
    """Plan a passage at a level, ready for the rules to run over it; `memory` is that of earlier plans of it."""
    planned = propose(passage, level, weights, decisions, character, memory)
    return Review(planned, all_rules() if rules is None else tuple(rules))


def flag(planned: PlannedPart, rules: Sequence[Rule]) -> tuple[Flag, ...]:
    """Run rules over both plans; of what is left to decide each cause is told once. By place, then by rule id."""
    flags: dict[tuple[str, str, int, int], Flag] = {}
    answers = _Answers(planned)
    for rule in rules:
        if rule.scope is not Scope.HOME:
            told = _told_of_print(rule, planned) if rule.scope is Scope.PRINTED else _told(rule, planned.plan)
            for finding in told:
                flags[finding.key] = _flag(rule, finding, None, planned.plan)
        if rule.scope.reads_home:
            for finding in _told(rule, planned.home):
                answer = answers.covering(finding)
                if finding.key not in flags and (answer is not None or rule.scope is Scope.HOME):
                    flags[finding.key] = _flag(rule, finding, answer, planned.home)
    concerns = {(rule.id, code): outcome.concern for rule in rules for code, outcome in rule.outcomes.items()}
    decided = _decided(planned)
    flags = {
        key: flag
        for key, flag in flags.items()
        if flag.finding.rule not in OWN_CHOICES or not decided.isdisjoint(flag.finding_events())
    }
    answered = [flag for flag in flags.values() if flag.answered_by is not None]
    left = first_of_each_cause(
        (flag for flag in flags.values() if flag.answered_by is None),
        lambda flag: flag.finding,
        lambda flag: concerns[flag.finding.rule, flag.finding.outcome],
    )
    return tuple(sorted((*answered, *left), key=lambda f: (f.finding.first, f.finding.last, f.finding.rule)))


def _decided(planned: PlannedPart) -> set[int]:
    """The events with a note that the part or the player decides."""
    decisions = planned.first_position.decisions
    events = planned.plan.passage.events if decisions else ()
    return {index for index, event in enumerate(events) if any(note.id in decisions for note in event.notes)}


def _told(rule: Rule, plan: Plan) -> Iterator[Finding]:
    return (finding for finding in rule.check(plan, rule.options) if finding.outcome not in rule.silent)


def _told_of_print(rule: Rule, planned: PlannedPart) -> tuple[Finding, ...]:
    """What a rule says about the print: no decision changes it."""
    key = (rule.id, rule.options, rule.silent)
    return planned.first_position.memory.remembered(key, lambda: tuple(_told(rule, planned.plan)))


def _flag(rule: Rule, finding: Finding, answer: int | None, plan: Plan) -> Flag:
    outcome = rule.outcomes[finding.outcome]
    left_to_the_player = outcome.concern is not Concern.PRINT and _is_ad_libitum(plan, finding)
    severity = outcome.severity if answer is None and not left_to_the_player else Severity.NOTE
    return Flag(finding, severity, rule.sentence(finding), answer)


def _is_ad_libitum(plan: Plan, finding: Finding) -> bool:
    """Whether the part leaves everything that the finding is about to the player, and says so."""
    notes = [note for index in range(finding.first, finding.last + 1) for note in plan.event(index).notes]
    if not any(note.ad_libitum for note in notes):
        return False
    stopped = [note for note in notes if (stop := plan.by_note[note.id].stop) is None or not stop.is_open]
    return bool(stopped) and all(note.ad_libitum for note in stopped)


class _Answers:
    """The proposals by place. Excursions come in playing order and never overlap, so both their ends are in order."""

    def __init__(self, planned: PlannedPart) -> None:
        self._planned = planned

    @cached_property
    def _firsts(self) -> list[int]:
        return [proposal.excursion.first for proposal in self._planned.proposals]

    @cached_property
    def _lasts(self) -> list[int]:
        return [proposal.excursion.last for proposal in self._planned.proposals]

    def covering(self, finding: Finding) -> int | None:
        """The number of the proposal that covers most of the finding, the earliest of several; None if none does."""
        answer, most = None, 0
        first_near = bisect_left(self._lasts, finding.first)
        for number in range(first_near, bisect_right(self._firsts, finding.last)):
            shared = min(self._lasts[number], finding.last) - max(self._firsts[number], finding.first) + 1
            if shared > most:
                answer, most = number, shared
        return answer
