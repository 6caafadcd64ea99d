"""Counts which planted misprints are reported, under the policy for proof-reading."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from random import Random

from rules import Flag, Passage, printed_decisions, review_passage
from rules.hand.level import ALL
from service.config.options import Options
from service.policies.policy_file import built_in
from service.usecases.checks.batch import Job, check_file
from service.usecases.checks.check import CheckedFinding
from tests.benchmarks.misprints.other_kinds import KINDS, Plants
from tests.benchmarks.misprints.parts import FingeredPart
from tests.benchmarks.misprints.planted_slips import PlantedSlip, with_digits
from tests.benchmarks.misprints.spoilt_page import UnsuitablePartError

Plant = Callable[[Passage, Random], Iterator[PlantedSlip]]
_PROOF = built_in("proof")


@dataclass(frozen=True, slots=True)
class Recall:
    """How many misprints were planted, and how many of them reported."""

    planted: int
    caught: int

    @property
    def share(self) -> float:
        """The share that was reported."""
        return self.caught / self.planted if self.planted else 0.0


def found_in(passage: Passage) -> tuple[Flag, ...]:
    """Return what is reported of a part."""
    rules = _PROOF.for_file("part.musicxml").rules
    return review_passage(passage, ALL, printed_decisions(passage), rules=rules).flags


def reported_rules(flags: Iterable[Flag]) -> Iterator[str]:
    """Yield severity, rule and outcome of every finding."""
    for flag in flags:
        yield f"{flag.severity.word}: {flag.finding.rule}/{flag.finding.outcome}"


def caught(passages: Iterable[tuple[str, Passage]], plant: Plant, seed: int) -> Recall:
    """Plant slips all over some parts and count those with a finding at their notes or right beside them."""
    planted = hits = 0
    for name, passage in passages:
        slips = list(plant(passage, Random(f"{seed} {name}")))
        wrong = with_digits(passage, {note: digit for slip in slips for note, digit in slip.digits.items()})
        flags = found_in(wrong) if slips else ()
        planted += len(slips)
        hits += sum(any(_is_beside(flag, slip) for flag in flags) for slip in slips)
    return Recall(planted, hits)


def _is_beside(flag: Flag, slip: PlantedSlip) -> bool:
    return flag.finding.first <= slip.events[-1] + 1 and flag.finding.last >= slip.events[0] - 1


def found_of_kinds(parts: Sequence[FingeredPart], seed: int, kinds: Plants = KINDS) -> dict[str, Recall]:
    """Plant one misprint of every kind in every part that has a place for it, and count those that are reported.

    Reported means a finding that the same part has not without the misprint.
    """
    before = {part.name: set(_lines(part, part.text)) for part in parts}
    found: dict[str, Recall] = {}
    for kind, plant in kinds.items():
        planted = hits = 0
        for part in parts:
            try:
                wrong = plant(part.text, part.passage.part, Random(f"{seed} {kind} {part.name}"))
            except UnsuitablePartError:
                continue
            planted += 1
            hits += bool(set(_lines(part, wrong)) - before[part.name])
        found[kind] = Recall(planted, hits)
    return found


def _lines(part: FingeredPart, text: bytes) -> Iterator[tuple[str, ...]]:
    options = Options(part=(part.passage.part,), instrument=part.passage.instrument.name)
    result = check_file(Job(_PROOF, ".", options, frozenset({"part", "instrument"})), "part.musicxml", text)
    assert result.fault is None, result.fault
    for checked in result.parts:
        for finding in checked.findings:
            yield _line(finding)


def _line(finding: CheckedFinding) -> tuple[str, ...]:
    return finding.rule, finding.outcome, finding.bars, finding.beat, finding.message
