"""What a report says of long notes and trills: what is gained in tone, and what is lost."""

from __future__ import annotations

from dataclasses import replace

from rules import PlannedPart, Technique
from rules.proposal.verdict import colder, warmer
from service.config.options import Options
from service.messages.message import Wording
from service.reports.player.reasons import why
from service.usecases.annotate import review_score
from tests.conftest import ROOT

ENGLISH = Wording()
JETTY = ROOT / "sample_scores" / "evening_on_the_jetty.musicxml"


def jetty() -> PlannedPart:
    (part,) = review_score(JETTY.read_bytes(), Options())
    return part.review.planned


def test_a_reason_of_tone_tells_the_long_notes_that_lose_by_it() -> None:
    planned = jetty()
    first, second = planned.proposals
    assert first.colder == ()
    assert "but" not in why(ENGLISH, planned, first)
    assert [planned.plan.event(event).measure + 1 for event in second.colder] == [13]
    assert why(ENGLISH, planned, second).startswith(
        "4 long notes sound warmer in third position than on the 4th finger or the open A string, "
        "but a long note (bar 13) comes on the 4th finger."
    )


def test_what_is_gained_one_way_is_lost_the_other() -> None:
    planned = jetty()
    for proposal in planned.proposals:
        excursion = proposal.excursion
        assert set(warmer(planned.home, planned.plan, excursion)) <= {*colder(planned.plan, planned.home, excursion)}


def test_a_trill_is_not_said_to_sound_warmer() -> None:
    planned = jetty()
    first, _ = planned.proposals
    trilled = planned.plan.event(first.warmer[0]).notes[0].id
    events = tuple(
        replace(
            event,
            notes=tuple(
                replace(note, techniques=frozenset({Technique.TRILL})) if note.id == trilled else note
                for note in event.notes
            ),
        )
        for event in planned.plan.passage.events
    )
    passage = replace(planned.plan.passage, events=events)
    plan = replace(planned.plan, passage=passage)
    told = why(ENGLISH, replace(planned, plan=plan), first)
    assert told.startswith("4 long notes")
    assert "a trill (bar 3) is easier this way than on the" in told
