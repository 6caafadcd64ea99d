"""The report for a player, its sentences in JSON, and the pins of every other way."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from lxml import etree

from rules import (
    ALL,
    VIOLIN,
    Constraint,
    Figures,
    Pitch,
    Plan,
    anchor_help,
    cheapest_route,
    constraint_violations,
    finger_patterns,
)
from service.config.options import Options, read_options
from service.messages.message import Wording
from service.naming import Language
from service.reports.player.choices import note_with_height
from service.reports.player.counts import difference
from service.reports.player.hand import hand_words, listen_sentence
from service.reports.player.other_ways import near_ways
from service.reports.player.reasons import why
from service.reports.player.report import COLUMNS, text_report
from service.reports.player.shifts import shift_sentence, shift_sentences
from service.reports.player.violations import violation_sentence
from service.reports.wire.review_data import review_data
from service.usecases.annotate import PartReview, review_score
from tests.conftest import ROOT
from tests.marked_notation import read_stops
from tests.notation import plan_with_stops, read_passage
from tests.small_scores import attributes, note, root_of, technical, words

GOLDEN = ROOT / "tests" / "golden" / "player"
READ_ALOUD = (
    "boathouse_reel.musicxml",
    "evening_on_the_jetty.musicxml",
    "ferry_waltz.musicxml",
    "first_bench.musicxml",
    "lantern_quartet.musicxml",
    "reed_crossing.musicxml",
)
ENGLISH = Wording()
SAMPLES = sorted(path for path in (ROOT / "sample_scores").iterdir() if path.suffix in {".musicxml", ".mxl"})


@cache
def parts_of(options: Options) -> list[PartReview]:
    return [part for path in SAMPLES for part in review_score(path.read_bytes(), options)]


@pytest.mark.parametrize("name", READ_ALOUD)
def test_report_is_as_it_was_read_aloud(name: str, update_golden: bool) -> None:
    report = text_report(name, review_score((ROOT / "sample_scores" / name).read_bytes(), Options()))
    path = GOLDEN / f"{Path(name).stem}.txt"
    if update_golden:
        path.write_text(report, encoding="utf-8")
    assert report == path.read_text(encoding="utf-8"), "read it aloud, then pytest --update-golden"


@pytest.mark.parametrize("level", ["first", "first-and-third", "to-fifth", "all"])
def test_no_figure_of_the_planner_and_no_code_reaches_a_player(level: str) -> None:
    """Effort stands only where it is asked for; rules, outcomes, octave numbers and fractions of beats nowhere."""
    report = text_report("samples", parts_of(read_options({"level": [level]})))
    for word in ("effort", "[", "_", " 1/", "♭♭", "♯♯", "neck", " ms "):
        assert word not in report
    assert not re.search(r"\b[A-G][♯♭]?[0-9]\b", report)
    assert max(map(len, report.splitlines())) <= COLUMNS
    assert "effort +" in text_report("samples", parts_of(Options(explain=True)))


def test_american_report_has_no_british_word_for_bars_and_steps() -> None:
    british, american = (
        text_report("samples", parts_of(Options(language=language)))
        for language in (Language.BRITISH, Language.AMERICAN)
    )
    pairs = {"bar": "measure", "semitone": "half step", "whole tones": "whole steps", "practise": "practice"}
    for word, other in pairs.items():
        assert re.search(rf"\b{word}s?\b", british, re.IGNORECASE)
        assert not re.search(rf"\b{word}s?\b", american, re.IGNORECASE)
        assert not re.search(rf"\b{other}s?\b", british, re.IGNORECASE)


def test_anchor_is_told_as_a_climb_the_same_pitch_and_a_check() -> None:
    found = anchor_help(VIOLIN, 3, 3, Pitch.named("G4"), 1)
    assert found is not None
    assert listen_sentence(ENGLISH, VIOLIN, found) == (
        "In first position, climb D E F♯ G from the open D string. In third position the 1st finger plays the same G "
        "on the D string; when it is in tune, the open G string rings along."
    )


def test_anchor_beyond_first_position_is_told_by_its_octave() -> None:
    found = anchor_help(VIOLIN, 7, 1, Pitch.named("E6"), 1)
    assert found is not None
    assert listen_sentence(ENGLISH, VIOLIN, found) == (
        "Play the open E string. In seventh position the 1st finger plays the E an octave higher on the E string."
    )


def test_player_listens_on_the_string_where_the_hand_arrives() -> None:
    for part in parts_of(Options()):
        plan = part.review.plan
        for explained in part.review.explanation.proposals:
            spans = {span.position: span for span in reversed(explained.proposal.excursion.spans)}
            for anchor in explained.listen:
                stops = [s for s in plan.grips[spans[anchor.position].first].stops if not s.is_open]
                assert anchor.string in {stop.string for stop in stops}
                assert not any(s.finger == 1 and s.string != anchor.string for s in stops)


def test_pattern_tells_where_the_half_steps_lie() -> None:
    plan = plan_with_stops(read_passage("G4 A4 B4 C5", fifths=1), "D1 D2 D3 D4")
    (pattern,) = finger_patterns(plan, plan.spans[0])
    assert hand_words(ENGLISH, plan.passage, pattern) == "D string: 1 G, 2 A, 3 B, 4 C; semitone between 3 and 4"


def test_guide_that_lands_in_a_double_stop_is_the_finger_that_stays() -> None:
    plan = plan_with_stops(read_passage("G4:3 [A4 C#5]:1"), "D3 D3+A1")
    (shift,) = plan.shifts
    assert shift_sentence(ENGLISH, plan, shift) == (
        "Bar 1, beat 4: from G (3rd finger, D string), on the 3rd finger, which stays on the string, shift up to "
        "second position. Land on A (3rd finger, D string) and C♯ (1st finger, A string)."
    )


def test_reasons_are_sentences_and_what_is_gone_is_avoided() -> None:
    said = {
        why(ENGLISH, part.review.planned, proposal)
        for part in parts_of(Options())
        for proposal in part.review.planned.proposals
    }
    assert "Third position needs 2 string crossings instead of 34." in said
    assert "Third position avoids 14 string crossings." in said
    assert any(text.startswith("In first position 5 notes are out of reach. Third position needs") for text in said)


def test_no_way_is_offered_that_has_nothing_to_offer() -> None:
    options, offered = read_options({"level": ["all"]}), 0
    for part in parts_of(options):
        for explained in part.review.explanation.proposals:
            for other in near_ways(part.review.plan, explained):
                offered += 1
                assert difference(ENGLISH, other.figures, other.proposed).is_better
    assert offered
    assert "no other difference" not in text_report("samples", parts_of(options))


def test_a_count_that_hardly_differs_is_no_reason_for_another_way() -> None:
    """In the waltz another place to shift has 2 string crossings instead of 3."""
    (part,) = review_score((ROOT / "sample_scores" / "ferry_waltz.musicxml").read_bytes(), Options())
    (explained,) = part.review.explanation.proposals
    (other,) = explained.alternatives
    assert (other.figures.crossings, other.proposed.crossings) == (2, 3)
    assert near_ways(part.review.plan, explained) == []


def test_a_count_that_hardly_differs_is_left_out_beside_one_that_does() -> None:
    these, others = Figures(crossings=17, stretches=2), Figures(crossings=18, stretches=6)
    assert difference(ENGLISH, these, others).fewer == "2 stretches instead of 6"
    alone = difference(ENGLISH, Figures(crossings=17), Figures(crossings=18))
    assert (alone.fewer, alone.more) == ("17 string crossings instead of 18", "")


def test_a_shift_is_told_from_its_note_unless_a_rest_frees_the_hand() -> None:
    plan = plan_with_stops(read_passage("E5 F#5"), "A4 A2")
    assert "from E (4th finger, A string), with the 2nd finger as guide (put it down on C, and" in shift_sentence(
        ENGLISH, plan, plan.shifts[0]
    )
    plan = plan_with_stops(read_passage("B4:1 R:1 E5:2"), "A1 A2")
    (shift,) = plan.shifts
    assert shift_sentence(ENGLISH, plan, replace(shift, slurred=True)).startswith(
        "Bar 1, beat 3: in the rest just before, shift up to third position. Land on E"
    )


def test_a_shift_does_not_start_from_the_open_strings_of_a_chord() -> None:
    plan = plan_with_stops(read_passage("[D4 B4]:1 E5:1"), "D0+A1 A2")
    (shift,) = plan.shifts
    assert "from B (1st finger, A string), with" in shift_sentence(ENGLISH, plan, shift)


def test_the_hand_that_does_not_come_back_is_told_to_stay() -> None:
    plan = plan_with_stops(read_passage("B4 D5 E5"), "A1 A1 A2")
    (excursion,) = plan.excursions
    assert shift_sentences(ENGLISH, plan, excursion)[-1] == "Stay in third position to the end."
    plan = plan_with_stops(read_passage("B4 D5 B4"), "A1 A1 A1")
    (excursion,) = plan.excursions
    assert not any("to the end" in told for told in shift_sentences(ENGLISH, plan, excursion))


@pytest.mark.parametrize(
    ("pitch", "told"),
    [("D6", "The high D"), ("C7", "The very high C"), ("G5", "G"), ("F3", "The low F")],
)
def test_a_note_out_of_reach_is_called_high_or_low(pitch: str, told: str) -> None:
    assert note_with_height(ENGLISH, VIOLIN, Pitch.named(pitch)) in {told, told[:1].lower() + told[1:]}


def test_the_caution_stands_once_in_the_report_of_a_quartet() -> None:
    quartet = review_score((ROOT / "sample_scores" / "lantern_quartet.musicxml").read_bytes(), Options())
    assert len(quartet) > 1
    assert text_report("quartet", quartet).count("Stop when something hurts") == 1


def test_broken_decision_names_what_was_asked_why_not_and_what_is_played_instead() -> None:
    passage = read_passage("D4 E4")
    note = passage.notes[1].id
    plan: Plan = plan_with_stops(passage, "D0 D1")
    (found,) = constraint_violations(plan, {note: Constraint(strings=frozenset({2}))})
    assert violation_sentence(ENGLISH, plan, found) == (
        "you or the part ask for the A string, but E is not found there. Planned: the 1st finger on the D string."
    )


def test_a_string_that_the_instrument_does_not_have_is_named_by_its_number() -> None:
    passage = read_passage("D4 E4")
    note = passage.notes[1].id
    plan: Plan = plan_with_stops(passage, "D0 D1")
    (found,) = constraint_violations(plan, {note: Constraint(strings=frozenset({7}))})
    assert violation_sentence(ENGLISH, plan, found).startswith("you or the part ask for the string number 7, but")


def test_a_restez_that_cannot_be_kept_is_told_once() -> None:
    """A3 lies below third position: the hand has to leave it, and the word is wrong."""
    third = words("3rd pos.") + note("D5", inside=technical("<fingering>1</fingering>")) + note("E5")
    root = root_of(attributes() + third + words("restez") + note("G5") + note("A3"), note("B3") + note("A3"))
    report = text_report("stay", review_score(etree.tostring(root), Options()))
    said = " ".join(report.split())
    assert "you or the part ask for the hand to stay, but A is not found there." in said
    assert "restez" not in said


def told_why(level: str, *measures: str, time: str = "4/4") -> list[str]:
    first, *others = measures
    root = etree.tostring(root_of(attributes(time=time) + first, *others))
    (part,) = review_score(root, read_options({"level": [level]}))
    return [why(ENGLISH, part.review.planned, proposal) for proposal in part.review.planned.proposals]


def test_notes_out_of_reach_are_counted_in_the_whole_of_the_bars_that_are_named() -> None:
    """Three times D6; F6 and G6 stand after the last note that is fingered, and the level does not have them."""
    low, high = ("".join(map(note, pitches)) for pitches in (("D4", "E4", "F4", "G4"), ("A5", "D6", "C6", "D6")))
    end = "".join(map(note, ("D6", "C6", "F6", "G6")))
    (told,) = told_why("first-and-third", low, high, end, low, low)
    assert told.startswith("In first position 5 notes are out of reach, and 2 of them are beyond this level.")


def test_a_double_stop_that_does_not_lie_in_first_position_is_no_note_out_of_reach() -> None:
    """B4 and D5 lie on the A string both; in third position the D string has the B."""
    low = "".join(map(note, ("D4", "E4", "F4", "G4")))
    sixth = note("B4", 2) + note("D5", 2, chord=True)
    (told,) = told_why("first-and-third", low, sixth + note("D5") + note("E5"), low)
    assert told.startswith("The double stop in bar 2 cannot be played in first position.")
    assert "out of reach" not in told


def test_long_notes_are_those_that_the_findings_list_and_few_are_named_by_their_bars() -> None:
    (part,) = review_score((ROOT / "sample_scores" / "evening_on_the_jetty.musicxml").read_bytes(), Options())
    first, *_ = part.review.planned.proposals
    listed = {
        flag.finding.first
        for flag in part.review.flags
        if flag.answered_by == 0 and flag.finding.rule in ("held-open-string", "held-fourth-finger")
    }
    assert set(first.warmer) == listed
    assert why(ENGLISH, part.review.planned, first).startswith("5 long notes sound warmer")
    few = replace(first, warmer=first.warmer[:2])
    assert "2 long notes (bars 3 and 4) sound warmer" in why(ENGLISH, part.review.planned, few)


def test_what_differs_is_told_as_needed_less_avoided_and_needed_more() -> None:
    these, others = Figures(crossings=4, skips=1), Figures(shifts=2, crossings=2, stretches=1)
    found = difference(ENGLISH, these, others)
    assert (found.fewer, found.avoided) == ("", "2 shifts and one stretch")
    assert found.more == "4 string crossings instead of 2", "a jump is one of the string crossings"
    apart = difference(ENGLISH, Figures(crossings=6, skips=1), Figures(crossings=2, skips=3))
    assert (apart.fewer, apart.more) == ("one jump over a string instead of 3", "6 string crossings instead of 2")
    assert difference(ENGLISH, Figures(skips=1, hops=2), Figures()).more == "one jump over a string and 2 finger hops"


@pytest.mark.parametrize("level", ["first-and-third", pytest.param("all", marks=pytest.mark.long)])
def test_pins_of_every_alternative_are_read_and_bring_it_about(level: str) -> None:
    """The pins as text, given back as options: the same notes are then counted as the alternative says."""
    for path in SAMPLES:
        data = path.read_bytes()
        options = read_options({"level": [level]})
        for part in review_data(review_score(data, options))["parts"]:
            for proposal in part["proposals"][:2]:
                for other in proposal["alternatives"]:
                    again = read_options({"pin": other["pins"]}, options)
                    answer = review_data(review_score(data, again))["parts"]
                    (same,) = [p for p in answer if p["part"] == part["part"]]
                    assert same["unmet"] == []
                    played = {row["index"]: row for row in same["plan"]}
                    for pin in again.pin:
                        assert pin.row is not None
                        row = played[pin.row]
                        assert pin.constraint.fingers == frozenset({row["finger"]})
                        assert pin.constraint.strings == frozenset({row["string"]})


def test_notes_are_priced_only_on_request() -> None:
    (part, *_) = parts_of(Options())
    assert "effort" not in review_data([part])["parts"][0]["plan"][0]
    priced = review_data([replace(part, explain=True)])["parts"][0]
    for row in priced["plan"]:
        assert row["effort"]["total"] == pytest.approx(sum(row["effort"]["items"].values()), abs=0.01)
        assert row["effort"]["total"] == pytest.approx(sum(row["effort"]["by_aspect"].values()), abs=0.01)


def test_difficulty_names_bars_of_the_part() -> None:
    for part in review_data(parts_of(Options()))["parts"]:
        labels = [bar["measure"] for bar in part["difficulty"]["bars"]]
        assert set(part["difficulty"]["hardest"]) <= set(labels)
        assert all(bar["effort"] >= 0 for bar in part["difficulty"]["bars"])


def test_answer_is_plain_data() -> None:
    assert json.loads(json.dumps(review_data(parts_of(Options(explain=True)))))["parts"]


def test_the_hand_lands_on_what_it_holds_and_an_open_string_is_told_after_it() -> None:
    passage = read_passage("B4:1 [D4 D5]:1 B4:1")
    plan = Plan(passage, ALL, cheapest_route(passage, ALL, decisions=read_stops("A1@1 D0@3+A1@3 A1@1", passage)))
    (excursion,) = plan.excursions
    there, back = shift_sentences(Wording(Language.BRITISH), plan, excursion)
    assert there.endswith("Land on D (1st finger, A string) and the open D string.")
    assert "from D (1st finger, A string), " in back
