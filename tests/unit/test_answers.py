"""Which proposal answers a finding: the one that covers most of it, found as by looking at every one of them."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules import FIRST_AND_THIRD, Concern, Finding, Flag, Outcome, PlannedPart, Rule, Scope, Severity, propose
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


def told(planned: PlannedPart, finding: Finding, outcome: Outcome, scope: Scope) -> Flag:
    """What a rule with one finding flags."""
    rule = Rule("invented", "", "", scope, None, lambda plan, options: iter([finding]), {"found": outcome})
    (found,) = flag(planned, [rule])
    return found


def test_what_a_proposal_answers_is_a_note_and_anything_else_as_severe_as_its_rule_says() -> None:
    planned = climbing()
    excursion, last = planned.proposals[0].excursion, len(planned.plan.passage.events) - 1
    answered = Finding("invented", "found", excursion.first, excursion.last, ())
    left = Finding("invented", "found", last, last, ())
    assert told(planned, answered, _OUTCOMES["found"], Scope.HOME).severity is Severity.NOTE
    assert told(planned, left, _OUTCOMES["found"], Scope.HOME).severity is Severity.WARNING
    assert told(planned, answered, _OUTCOMES["found"], Scope.PROPOSED).severity is Severity.WARNING


@pytest.mark.parametrize(
    ("left_to_the_player", "concern", "severity"),
    [
        ((0, 1, 2), Concern.PLAYING, Severity.NOTE),
        ((0, 1), Concern.PLAYING, Severity.NOTE),  # the third note is an open string
        ((0, 2), Concern.PLAYING, Severity.WARNING),
        ((0, 1, 2), Concern.PRINT, Severity.WARNING),
        ((), Concern.PLAYING, Severity.WARNING),
    ],
)
def test_what_the_part_leaves_to_the_player_is_a_note(
    left_to_the_player: tuple[int, ...], concern: Concern, severity: Severity
) -> None:
    passage = read_passage("B4:1 C5 D4 B4")
    events = tuple(
        replace(event, notes=tuple(replace(note, ad_libitum=index in left_to_the_player) for note in event.notes))
        for index, event in enumerate(passage.events)
    )
    planned = propose(replace(passage, events=events), FIRST_AND_THIRD)
    outcome = Outcome("Found.", Severity.WARNING, concern)
    assert told(planned, Finding("invented", "found", 0, 2, ()), outcome, Scope.PROPOSED).severity is severity


def test_an_open_string_alone_is_never_left_to_the_player() -> None:
    passage = read_passage("D4:1")
    events = (replace(passage.events[0], notes=(replace(passage.notes[0], ad_libitum=True),)),)
    planned = propose(replace(passage, events=events), FIRST_AND_THIRD)
    outcome = Outcome("Found.", Severity.WARNING, Concern.PLAYING)
    assert told(planned, Finding("invented", "found", 0, 0, ()), outcome, Scope.PROPOSED).severity is Severity.WARNING
