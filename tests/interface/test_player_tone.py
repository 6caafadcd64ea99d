"""What a report says of long notes and trills: what is gained in tone, and what is lost."""

from __future__ import annotations

from dataclasses import replace

import pytest
from lxml import etree

from rules import Figures, Plan, PlannedPart, Reason, Technique
from service.config.options import Options
from service.messages.message import Wording
from service.reports.player.reasons import why
from service.reports.player.report import text_report
from service.usecases.annotate import review_score
from tests.conftest import ROOT
from tests.small_scores import attributes, notations, note, root_of, words

ENGLISH = Wording()
JETTY = ROOT / "sample_scores" / "evening_on_the_jetty.musicxml"


def jetty(tempo: int = 54) -> PlannedPart:
    slower = JETTY.read_text(encoding="utf-8").replace('tempo="54"', f'tempo="{tempo}"')
    (part,) = review_score(slower.encode(), Options())
    return part.review.planned


def test_a_reason_of_tone_tells_the_long_notes_that_lose_by_it() -> None:
    planned = jetty(tempo=46)
    first, second = planned.proposals
    assert first.colder == ()
    assert "but" not in why(ENGLISH, planned, first)
    assert [planned.plan.event(event).measure + 1 for event in second.colder] == [13]
    assert why(ENGLISH, planned, second).startswith(
        "7 long notes sound warmer in third position than on the 4th finger or the open A string, "
        "but a long note (bar 13) comes on the 4th finger."
    )


@pytest.mark.parametrize(
    ("finger", "reason"),
    [
        (0, "A trill (bar {bar}) is easier this way than on the open A string"),
        (4, "In first position a trill (bar {bar}) falls on the 4th finger, which has no finger above it"),
    ],
)
def test_a_trill_is_not_said_to_sound_warmer(finger: int, reason: str) -> None:
    planned = jetty()
    first, _ = planned.proposals
    at_home = {event: planned.home.grip(event) for event in first.warmer}
    event = next(event for event, grip in at_home.items() if grip and grip.stops[0].finger == finger)
    told = why(ENGLISH, replace(planned, plan=_trilled(planned.plan, event)), first)
    assert told.startswith("4 long notes")
    assert reason.format(bar=planned.plan.event(event).measure + 1) in told


def _trilled(plan: Plan, event: int) -> Plan:
    """The same plan of a part in which an event is a trill."""
    events = list(plan.passage.events)
    trill = replace(events[event].notes[0], techniques=frozenset({Technique.TRILL}))
    events[event] = replace(events[event], notes=(trill,))
    return replace(plan, passage=replace(plan.passage, events=tuple(events)))


def test_a_trill_is_not_sent_to_the_position_in_which_it_is() -> None:
    """D flat lies under the 4th finger in third position; as C sharp it would be under the 3rd."""
    fourth = "<ornaments><trill-mark/></ornaments><technical><fingering>4</fingering></technical>"
    trilled = note("Db6", inside=notations(fourth))
    line = words("3rd pos.") + note("A5") + note("Bb5") + note("C6") + trilled
    root = root_of(attributes() + line, note("C6") + note("Bb5") + note("A5") + note("Bb5"))
    report = text_report("trill", review_score(etree.tostring(root), Options()))
    assert (
        "the trill on D♭ is on the 4th finger, which leaves none for the upper note. "
        "Leave the trill out, until you have learned fourth position (3 D♭)." in " ".join(report.split())
    )


def test_notes_are_named_where_one_bar_gains_and_loses() -> None:
    """Two notes of one bar: the reader would not know which of them is meant."""
    planned = jetty()
    first, *_ = planned.proposals
    gains = first.warmer[0]
    beside = next(e for e in first.excursion.events if e != gains and _measure(planned, e) == _measure(planned, gains))
    told = why(ENGLISH, planned, replace(first, warmer=(gains,), colder=(beside,)))
    names = [ENGLISH.note(planned.plan.event(event).pitches[0]) for event in (gains, beside)]
    bar = planned.plan.passage.measures[_measure(planned, gains)].label
    assert f"A long note ({names[0]} in bar {bar}) sounds warmer" in told
    assert f"but a long note ({names[1]} in bar {bar}) comes on" in told


def _measure(planned: PlannedPart, event: int) -> int:
    return planned.plan.event(event).measure


@pytest.mark.parametrize(
    ("reasons", "before", "after", "told"),
    [
        ((Reason.REACH,), {"crossings": 2}, {"crossings": 6}, ""),
        ((Reason.AGAIN,), {"crossings": 2}, {"crossings": 6}, "But third position needs 6 string crossings instead of"),
        (
            (Reason.REACH, Reason.HAND),
            {"crossings": 2, "hops": 1},
            {"crossings": 6},
            "avoids one finger hop, but needs 6 string crossings instead of",
        ),
        ((Reason.HAND,), {"stretches": 2}, {"crossings": 3}, "avoids 2 stretches, but needs 3 string crossings."),
        ((Reason.HAND,), {"stretches": 2}, {"crossings": 1}, "avoids 2 stretches."),
        (
            (Reason.CROSSINGS,),
            {"crossings": 9},
            {"crossings": 5, "hops": 1},
            "5 string crossings instead of 9, but one",
        ),
        ((Reason.HAND,), {"hops": 1}, {"slides": 1, "stretches": 1}, "but needs one stretch and one finger slide."),
        ((Reason.AGAIN,), {"shifts": 0}, {"shifts": 3}, "The same music is played this way elsewhere in the piece."),
    ],
)
def test_a_reason_tells_what_there_is_clearly_more_of(
    reasons: tuple[Reason, ...], before: dict[str, int], after: dict[str, int], told: str
) -> None:
    planned = jetty()
    first, *_ = planned.proposals
    counts = {"before": Figures(**before), "after": Figures(**after), "warmer": (), "colder": ()}
    said = why(ENGLISH, planned, replace(first, reasons=reasons, **counts))
    assert told in said
    assert said.endswith(told) or "instead of" in told
    if reasons == (Reason.REACH,):
        assert "crossings" not in said


def test_a_long_note_that_comes_on_the_fourth_finger_is_told_whatever_the_reason() -> None:
    planned = jetty()
    first = planned.proposals[1]
    fourth = next(e for e in first.excursion.events if planned.plan.grips[e].stops[0].finger == 4)
    counts = {"before": Figures(stretches=2), "after": Figures(), "warmer": (), "colder": (fourth,)}
    said = why(ENGLISH, planned, replace(first, reasons=(Reason.HAND,), **counts))
    assert said == "Third position avoids 2 stretches, but needs one long note on the 4th finger."
