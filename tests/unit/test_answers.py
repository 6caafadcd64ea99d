"""Which proposal answers a finding: the one that covers most of it, found as by looking at every one of them."""

from __future__ import annotations

from functools import cache

from hypothesis import given
from hypothesis import strategies as st

from rules import FIRST_AND_THIRD, Finding, Outcome, PlannedPart, Rule, Scope, Severity, propose
from rules.check.review import flag
from tests.notation import read_passage

_HIGH, _LOW = "G5:1 A5:1 B5:1 C6:1 | D6:2 C6:1 B5:1 | C6:1 D6:1 B5:1 A5:1 | ", "G3:1 A3:1 B3:1 C4:1 | "
_OUTCOMES = {"found": Outcome("Found.", Severity.WARNING)}


@cache
def climbing() -> PlannedPart:
    """A part that has to leave first position again and again."""
    planned = propose(read_passage((_HIGH + _LOW * 3) * 4 + "G3:4"), FIRST_AND_THIRD)
    assert len(planned.proposals) > 2
    return planned


def one_by_one(planned: PlannedPart, first: int, last: int) -> int | None:
    """The proposal that shares most events with a range, the earliest of several."""
    wanted = set(range(first, last + 1))
    shared = [
        len(wanted & set(range(proposal.excursion.first, proposal.excursion.last + 1)))
        for proposal in planned.proposals
    ]
    return shared.index(max(shared)) if max(shared) else None


@given(st.data())
def test_a_finding_is_answered_by_the_proposal_that_covers_most_of_it(data: st.DataObject) -> None:
    planned = climbing()
    end = len(planned.plan.passage.events) - 1
    first = data.draw(st.integers(0, end))
    last = data.draw(st.integers(first, end))
    finding = Finding("invented", "found", first, last, ())
    rule = Rule("invented", "", "", Scope.HOME, None, lambda plan, options: iter([finding]), _OUTCOMES)
    (found,) = flag(planned, [rule])
    assert found.finding is finding
    assert found.answered_by == one_by_one(planned, first, last)


def test_excursions_come_in_order_and_never_overlap() -> None:
    ends = [end for p in climbing().proposals for end in (p.excursion.first, p.excursion.last + 1)]
    assert ends == sorted(ends)
