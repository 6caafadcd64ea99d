"""A position that the digits change and the words do not."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.check.rule import Concern, Finding, Outcome, Rule, Scope, Severity
from rules.marks.named_positions import unnamed_stays
from rules.plan.plan import Plan

WHY = """A part that names its positions is read by these names. Where several digits in a row lie outside the
position that was named last, a name is missing or stands at the wrong note, or the notes or digits are not those that
were meant."""


@dataclass(frozen=True, slots=True)
class Options:
    """How regular the names have to be."""

    share: Annotated[
        float, "share of like changes of position that the part names, from which a missing name is told"
    ] = 0.75


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Report digits that leave the position in words without a word, or before it."""
    for stay in unnamed_stays(plan.passage, options.share):
        outcome, last = ("missing", stay.last) if stay.word is None else ("late", stay.word)
        yield RULE.found(outcome, plan, stay.first, last, position=stay.position, named=stay.named)


RULE = Rule(
    id="position-not-named",
    title="The digits change position, the words do not",
    rationale=WHY,
    scope=Scope.PRINTED,
    options=Options(),
    check=check,
    unseen="no collection at hand prints positions in words",
    outcomes={
        "missing": Outcome(
            "the digits are those of position $position, and position $named was named last",
            Severity.NOTE,
            Concern.PRINT,
        ),
        "late": Outcome("the digits are those of position $position before it is named", Severity.NOTE, Concern.PRINT),
    },
)
