"""Every message with an example, in British and American English, and places as musicians count them."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from string import Formatter
from typing import Any

import pytest

import service.messages
from rules import Pitch, Plan
from service.messages.message import Message, Wording, sentence
from service.messages.music_words import (
    bar_list,
    bars_words,
    place_words,
    position_words,
    ranges_words,
    runs_of_bars,
)
from service.naming import Language
from tests.notation import plan_with_stops, read_passage

EXAMPLES = Path(__file__).parent.parent / "golden" / "player" / "messages.txt"
FIELDS = {
    "arrival": "G (4th finger, A string)", "aspect": "tone", "aspects": "2.5 for tone",
    "asked": "the A string", "bar": "bar 17", "bars": "bars 17-32", "beat": "2", "cause": "E is not found there",
    "chord": "G, D, B and G", "costs": "2.5 for shifting", "count": "34 string crossings",
    "counts": "2 string crossings instead of 34", "difference": "4 string crossings instead of 2", "effort": "1.4",
    "finding": "the finger on E is not in the position in words", "finger": "2nd finger",
    "fingers": "1 G, 2 A, 3 B, 4 C",
    "first": "third position", "gains": "6.3 for string crossings", "guide": "with the 1st finger as guide",
    "hand": "A string: 1 D, 2 E, 3 F♯, 4 G",
    "meaning": "A finger reaches out of the relaxed hand.", "price": "the shifts are harder", "title": "Ferry Waltz",
    "composer": "J. S. Bach",
    "word": "Stretch",
    "tempo": "96", "home": "and come back in the rest after it",
    "heading": "First to third position on the same finger, in bar 9", "high": "3", "how": "in the rest just before",
    "instrument": "violin", "key": "D major", "label": "stay in first position", "left_out": "G",
    "last": "2 stretches",
    "level": "first and third position", "listen": "in third position the 1st finger plays the same D", "low": "2",
    "avoided": "2 stretches", "name": "A", "next": "fifth position", "note": "D",
    "notes": "G (4th finger, A string)", "number": "12", "numbers": "9-16", "open_string": "open D string",
    "other": "one trill on the 4th finger",
    "others": "B and D", "pairs": "2 and 3", "pitch": "E", "position": "third position",
    "positions": "third position", "reach": "in first position 5 notes are out of reach",
    "remark": "slurs without an end were left out",
    "second": "3 and 4", "shape": "semitone between 1 and 2", "start": "climb A B C D from the open A string",
    "string": "A string", "taken": "the 1st finger on the D string", "way": "no difference",
    "weak": "the open A string",
    "what": "1st finger", "where": "bar 17, beat 1",
    "address": "http://127.0.0.1:8765", "baseline": "known.txt", "copy": "waltz.marked.mxl", "done": "3",
    "exception": "rule held-open-string (it rings)", "expected": "held-open-string", "failed": "1", "file": "waltz.mxl",
    "files": "2 files", "findings": "2 findings", "folder": "scores", "host": "127.0.0.1", "learned": "61.2", "of": "9",
    "part": "Violin I", "parts": "2 parts", "pieces": "12", "policy": "Book 1", "port": "8765",
    "reason": "asked for by the composer", "scale": "the trouble of shifts", "score": "waltz.mxl", "seconds": "20",
    "severities": "one error, no warnings", "severity": "error", "standard": "58.9", "tests": "4", "times": "1.4",
    "softly": "without a sound", "tone": "2 long notes sound warmer in third position than on the 4th finger",
    "total": "40", "measure": "crossing", "circumstance": "bound",
}  # fmt: skip


OVERRIDES = {
    "choices.CHOICES shift-across-repeat/jump": {"bar": "32"},
    "music_words.HIGHER_POSITION": {"number": "13"},
    "music_words.NOTE_OF": {"note": "third note"},
    "music_words.AFTER_HELD": {"note": "first note"},
    "overview.PART": {"name": "Violin"},
    "overview.AS_BEFORE": {"number": "1"},
    "overview.HAND_AS_BEFORE": {"number": "1"},
    "sheets.CHART_TITLE": {"position": "third position"},
    "sheets.CHART_STRING": {"fingers": "1 D5, 2 E5, high 3 F♯5"},
    "sheets.CHART_LOW": {"finger": "3"},
    "sheets.CHART_HIGH": {"finger": "3"},
    "overview.THE": {"what": "A string"},
    "findings.ANSWERED": {"number": "2"},
    "excursions.NEEDS": {"way": "third position"},
    "excursions.AND_ALSO": {"first": "one stretch instead of 6", "last": "2 finger hops instead of 7"},
    "excursions.FROM": {"notes": "B (2nd finger, E string)", "how": "at the change of bow"},
    "excursions.AVOIDS": {"way": "third position", "counts": "2 stretches"},
    "excursions.NEEDS_AND_AVOIDS": {"way": "third position"},
    "commands.MARKED": {"count": "0"},
    "commands.MARKED_WITH_REASONS": {"count": "3"},
    "hands.FEW": {"count": "60"},
    "hands.LEARNED_FROM": {"fingers": "340"},
    "commands.ADDRESS": {"port": "8765"},
    "commands.NO_ADDRESS": {"address": "127.0.0.1, port 8765", "reason": "Address already in use"},
    "commands.FIT": {"done": "3"},
    "findings.RUN": {"parts": "3 parts"},
    "findings.AT_BEAT": {"bar": "17", "notes": "A4"},
    "findings.IN_BARS": {"bars": "17-19", "notes": "A4 B4"},
    "findings.ON_PROOF_IN_BARS": {"bars": "17-19", "notes": "A4 B4"},
    "findings.SHOWN_AT": {"bars": "17"},
    "findings.SHOWN_IN": {"bars": "17", "notes": "A4"},
    "findings.BAR": {"bar": "17"},
    "findings.ON_PROOF": {"bar": "17", "notes": "A4"},
    "findings.ALSO_IN": {"bars": "17, 19"},
    "findings.FORCED_BY": {"bars": "17, 19", "level": "to-third"},
    "findings.NEEDS_LEVEL": {"level": "to-third"},
    "findings.HARD_BAR": {"bar": "17"},
    "findings.MORE": {"counts": "2 warnings"},
    "commands.WEIGHTS_AT": {"level": "first"},
    "commands.NOT_LEARNED_FROM": {"remark": "torn.musicxml: no fingers are printed in it"},
    "excursions.CLIMB": {"notes": "D E F♯ G"},
    "excursions.PUT_DOWN_LANDS": {"start": "C♯"},
    "excursions.PUT_DOWN_GUIDE": {"start": "C♯"},
    "excursions.COME_BACK_EARLIER": {"position": "first position"},
    "excursions.COME_BACK_LATER": {"position": "first position"},
    "excursions.TRILLS_ON_FOURTH": {"weak": "the 4th finger"},
    "excursions.PAIR_OF_NOTES": {"first": "A", "second": "B♭"},
    "excursions.INSTEAD_OF": {"count": "2 long notes on the open A string"},
    "excursions.INSTEAD_ON": {"count": "3 long notes on the 4th finger"},
    "excursions.BUT": {"reason": "third position needs 2 stretches instead of 5"},
    "excursions.BUT_NEEDS": {"reason": "third position avoids 2 stretches"},
    "excursions.BUT_THE_WAY_NEEDS": {"way": "third position"},
    "excursions.AND_BETWEEN": {"first": "1 and 2"},
    "excursions.IN_TURN": {"positions": "third position and fifth position"},
    "excursions.GUIDE_LANDS": {"start": "C♯"},
    "excursions.WITH_OTHER_GUIDE": {"start": "C♯"},
    "excursions.OPEN_PLACE": {"note": "D"},
    "excursions.TONE_BUT_TRILLS": {"tone": "a long note sounds warmer this way than on the 4th finger"},
    "excursions.FINGER_PLACE": {"finger": "2"},
    "excursions.FINGER_PLACE_AND": {"finger": "2", "note": "A", "others": "A♯ in bar 15"},
    "excursions.HAND": {"fingers": "1 G, 2 A, 4 C"},
    "excursions.HAND_SHAPE": {"hand": "D string: 1 G, 2 A, 4 C", "shape": "whole tone between 1 and 2"},
    "excursions.FINGER_STRETCHED": {"finger": "4"},
    "excursions.FIRST_STRETCHED": {"note": "D", "others": "C♯"},
    "music_words.LATER_GRACE_NOTE": {"number": "5"},
    "excursions.PLAYED 0": {"note": "A♯", "bars": "bars 15 and 17"},
    "excursions.PLAYED 1": {"note": "A♯", "bars": "bars 15 and 17"},
    "excursions.WRITTEN 0": {"note": "A♯", "bars": "bars 15 and 17"},
    "excursions.WRITTEN 1": {"note": "A♯", "bars": "bars 15 and 17"},
    "excursions.STRETCHED_BACK 0": {"note": "C", "bars": "bar 17"},
    "excursions.STRETCHED_BACK 1": {"note": "C", "bars": "bar 17"},
    "excursions.STRETCHED_BACK 2": {"note": "C"},
    "excursions.STRETCHED 0": {"note": "E", "bars": "bar 17"},
    "excursions.STRETCHED 1": {"note": "E", "bars": "bar 17"},
    "excursions.NEARLY_AS_EASY_BESIDES": {"reason": "third position avoids 2 notes on the 4th finger"},
    "excursions.COUNTED_IN": {"difference": "this avoids one stretch"},
    "excursions.WAY_AVOIDS": {"counts": "2 shifts"},
    "excursions.AVOIDS_BUT": {"counts": "2 shifts", "price": "needs 4 string crossings instead of 2"},
    "excursions.NEEDS_BUT": {"price": "also 3 shifts instead of 2"},
    "excursions.OTHER_WAY": {"difference": "this avoids 2 shifts, but needs one stretch"},
    "overview.BEGIN_AWAY": {"bars": "bars 1-2"},
    "overview.HARD_BAR": {"bars": "bar 3", "what": "2 shifts and one stretch (1st finger to A♯)"},
    "overview.HARD_BARS": {"bars": "bars 3 and 9", "what": "one stretch (1st finger to A♯)"},
    "overview.COUNT_OF": {"count": "one stretch", "notes": "1st finger to A♯"},
    "overview.FINGER_TO": {"finger": "1st finger", "note": "A♯"},
    "overview.FINGER_FROM_TO": {"finger": "4th finger", "start": "D", "note": "E"},
    "overview.FINGER_BETWEEN": {"finger": "4th finger", "start": "D", "note": "E"},
    "choices.CHOICES held-fourth-finger/away": {"pitch": "B♭", "fingers": "2 B♭"},
    "choices.CHOICES awkward-grip/wide": {"low": "G♯ (4th finger)", "high": "E (1st finger)"},
    "choices.CHOICES trill-on-fourth-finger/trill": {"pitch": "B", "fingers": "2 B"},
    "choices.CHOICES trill-on-fourth-finger/beyond": {"pitch": "D♭", "fingers": "3 D♭", "position": "fourth position"},
    "choices.CHOICES note-outside-level/left-out": {
        "pitch": "the high F",
        "fingers": "3 F",
        "position": "sixth position",
    },
    "choices.COME_BACK_AT_THE_BOW 0": {"note": "A"},
    "choices.COME_BACK_AT_THE_BOW 1": {"note": "A"},
    "choices.CHOICES held-fourth-finger/away-together": {"pitch": "C and B♭", "fingers": "3 C, 2 B♭"},
    "choices.CHOICES chord-not-held/apart": {"chord": "D and A", "left_out": "D", "pitch": "A"},
    "choices.CHOICES octave-at-half-the-string/moved-grace": {"next": "D"},
    "choices.CHOICES note-outside-level/in-passing": {
        "pitch": "the high F",
        "fingers": "3 F",
        "position": "sixth position",
    },
    "choices.CHOICES note-outside-level/in-a-figure": {
        "pitch": "the high F",
        "fingers": "3 F",
        "position": "sixth position",
    },
    "choices.NOTES_BY_BAR note-outside-level/in-passing": {
        "where": "Bar 48 (the high F) and bar 52 (the high G)",
        "fingers": "3 F, 4 G",
        "position": "sixth position",
    },
    "choices.NOTES_BY_BAR note-outside-level/in-a-figure": {
        "where": "Bar 48 (the high F) and bar 49 (the high F and the high G)",
        "fingers": "3 F, 4 G",
        "position": "sixth position",
    },
    "overview.STRETCHED": {"notes": "4th finger to C (bar 5) and 4th finger to F (bars 3 and 17)"},
    "overview.STRETCHED_IN": {"finger": "4th finger", "note": "C", "string": "E string", "bars": "bars 5 and 9"},
    "choices.NOTES_BY_BAR held-fourth-finger/away": {
        "where": "Bar 3 (B♭) and bar 14 (C)",
        "fingers": "2 B♭, 3 C",
        "home": "and come back each time",
    },
    "choices.CHOICES trill-on-open-string/elsewhere": {"pitch": "A", "fingers": "2 A", "open_string": "open A string"},
    "choices.CHOICES trill-on-open-string/trill": {"pitch": "A", "open_string": "open A string"},
    "choices.NOTES_BY_BAR note-outside-level/left-out": {
        "where": "Bar 48 (the high F) and bar 49 (the high F and the high G)",
        "fingers": "3 F, 4 G",
        "position": "sixth position",
    },
    "choices.NOTES_BY_BAR note-outside-level/beyond": {"where": "Bar 48 (the high F) and bar 49 (the high G)"},
    "choices.BAR_WITH_NOTES": {"bars": "bar 49", "notes": "the high F and the high G"},
    "overview.PART_OF_SEVERAL": {"instrument": "Violin", "number": "2", "count": "3"},
    "overview.OF_PART": {"part": "Violin II", "remark": "slurs without an end were left out (bar 17)"},
    "overview.PIECE": {"file": "waltz.mxl"},
}


def short_name(module: str) -> str:
    return module.rpartition(".")[2]


def all_messages() -> Iterator[tuple[str, Message]]:
    modules = [module.name for module in pkgutil.walk_packages(service.messages.__path__, "service.messages.")]
    for full_name in sorted(modules, key=short_name):
        found: dict[str, Any] = vars(importlib.import_module(full_name))
        for name, value in found.items():
            if name.startswith("__") or not name.isupper():
                continue
            several = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, tuple) else ()
            for key, message in [("", value), *several]:
                if isinstance(message, Message):
                    yield (
                        f"{short_name(full_name)}.{name} {'/'.join(key) if isinstance(key, tuple) else key}".rstrip(),
                        message,
                    )


def examples() -> Iterator[str]:
    seen = set()
    for name, message in all_messages():
        if id(message) in seen:
            continue
        seen.add(id(message))
        yield name
        fields = {field for _, field, _, _ in Formatter().parse(message.text + message.many) if field and field != "n"}
        given = {field: FIELDS[field] for field in fields} | OVERRIDES.get(name, {})
        numbers = (1, 6) if message.many else (None,)
        british, american = (
            [wording.say(message, n, **{f: wording.say(Message(text)) for f, text in given.items()}) for n in numbers]
            for wording in (Wording(), Wording(Language.AMERICAN))
        )
        yield from (f"  {text}" for text in british)
        yield from (f"  American: {text}" for text in american if text not in british)


def test_every_message_has_an_example_that_was_read(update_golden: bool) -> None:
    text = "\n".join(examples()) + "\n"
    if update_golden:
        EXAMPLES.write_text(text, encoding="utf-8")
    assert text == EXAMPLES.read_text(encoding="utf-8"), "read the difference, then pytest --update-golden"
    assert len(text.splitlines()) > 300


def test_no_number_is_said_as_no_and_fields_are_left_as_they_are() -> None:
    crossings = Message("one bar of {what}", "{n} bars of {what}")
    american = Wording(Language.AMERICAN)
    assert [american.say(crossings, n, what="semitone") for n in (0, 1, 12)] == [
        "no measures of semitone", "one measure of semitone", "12 measures of semitone",
    ]  # fmt: skip
    assert american.say(Message("Bar {bar}: semitones, barline"), bar="7") == "Measure 7: half steps, barline"


def test_lists_and_sentences() -> None:
    assert [Wording().all_of(list(items)) for items in ("", "A", "AB", "ABC")] == ["", "A", "A and B", "A, B and C"]
    assert sentence("it rings") == "It rings."
    assert sentence("It rings.") == "It rings."


def plan_of(text: str, meter: tuple[int, int]) -> Plan:
    """A plan of a passage whose beats are counted as the reader counts them: dotted in compound time."""
    passage = read_passage(text, meter=meter)
    quarters = Fraction(12 if meter[0] % 3 == 0 and meter[0] > 3 else 4, meter[1])
    starts = [measure.onset for measure in passage.measures]
    events = tuple(replace(e, beat=1 + (e.onset - starts[e.measure]) / quarters) for e in passage.events)
    return plan_with_stops(replace(passage, events=events), " ".join(["D1"] * len(events)))


@pytest.mark.parametrize(
    ("meter", "text", "places"),
    [
        ((4, 4), "E4:1 E4:1/2 E4:1/2 E4:1/4 E4:1/4 E4:1/4 E4:1/4 E4:1",
         "bar 1, beat 1; bar 1, beat 2; bar 1, beat 2, second note; bar 1, beat 3; bar 1, beat 3, second note; "
         "bar 1, beat 3, third note; bar 1, beat 3, fourth note; bar 1, beat 4"),
        ((3, 4), "E4:1/3 E4:1/3 E4:1/3 E4:1 E4:3/4 E4:1/4",
         "bar 1, beat 1; bar 1, beat 1, second note; bar 1, beat 1, third note; bar 1, beat 2; bar 1, beat 3; "
         "bar 1, last note"),
        ((2, 4), "E4:3/2 E4:1/4 E4:1/4",
         "bar 1, beat 1; bar 1, second half of beat 2; bar 1, last note"),
        ((2, 4), "E4:1/2 R:5/4 E4:1/8 E4:1/8", "bar 1, beat 1; bar 1, beat 2, first note; bar 1, last note"),
        ((3, 4), "E4:1/2 R:5/4 E4:1/4 E4:1/2 R:1/4 E4:1/4",
         "bar 1, beat 1; bar 1, just before beat 3; bar 1, beat 3; bar 1, last note"),
        ((4, 4), "E4:1 R:1/4 E4:1/4 R:1/2 E4:2", "bar 1, beat 1; bar 1, just after beat 2; bar 1, beat 3"),
        ((2, 4), "E4:1/2 R:1 E4:1/4 E4:1/4", "bar 1, beat 1; bar 1, second half of beat 2; bar 1, last note"),
        ((2, 4), "R:1/2 E4:1/2 E4:1", "bar 1, first note; bar 1, beat 2"),
        ((2, 4), "E4:1/8 E4:1/8 E4:1/8 E4:1/8 E4:1/8 E4:1/8 E4:1/8 E4:1/8 E4:1",
         "bar 1, beat 1; bar 1, beat 1, second note; bar 1, beat 1, third note; bar 1, beat 1, fourth note; "
         "bar 1, beat 1, fifth note; bar 1, beat 1, sixth note; bar 1, second half of beat 1, third note; "
         "bar 1, second half of beat 1, fourth note; bar 1, beat 2"),
        ((6, 8), "E4:1/2 E4:1/2 E4:1/2 E4:1/2 E4:1/2 E4:1/2 | E4:3/2 E4:3/2",
         "bar 1, first note; bar 1, first half, second note; bar 1, first half, third note; bar 1, second half; "
         "bar 1, second half, second note; bar 1, last note; bar 2, first note; bar 2, second half"),
        ((6, 8), "E4:2 E4:1/2 E4:1/2",
         "bar 1, first note; bar 1, second half, second quaver; bar 1, last note"),
        ((9, 8), "E4:3/2 E4:1/2 E4:1/2 E4:1/2 E4:3/2",
         "bar 1, beat 1; bar 1, beat 2; bar 1, beat 2, second note; bar 1, beat 2, third note; bar 1, beat 3"),
        ((9, 8), "E4:2 E4:1 E4:3/2", "bar 1, beat 1; bar 1, second quaver of beat 2; bar 1, beat 3"),
        ((3, 8), "E4:1/2 E4:1/2 E4:1/4 E4:1/4", "bar 1, beat 1; bar 1, beat 2; bar 1, beat 3; bar 1, last note"),
        ((4, 4), "E4:1 | E4:4", "the upbeat; bar 2, beat 1"),
        ((4, 4), "E4:1/2 E4:1/2 | E4:4", "the upbeat, first note; the upbeat, second note; bar 2, beat 1"),
    ],
)  # fmt: skip
def test_places_are_counted_as_musicians_count(meter: tuple[int, int], text: str, places: str) -> None:
    plan = plan_of(text, meter)
    assert [place_words(Wording(), plan, index) for index in range(len(plan.passage.events))] == places.split("; ")


def test_a_grace_note_stands_before_its_note() -> None:
    plan = plan_of("D4:1 E4:3", (4, 4))
    grace = replace(plan.passage.events[0], grace=True)
    plan = replace(
        plan, passage=replace(plan.passage, events=(grace, replace(plan.passage.events[1], beat=Fraction(1))))
    )
    assert place_words(Wording(), plan, 0) == "bar 1, beat 1, grace note"


def test_grace_notes_before_one_note_are_counted() -> None:
    plan = plan_of("D4:1 E4:1/2 D4:1/2 E4:2", (4, 4))
    first, *others = plan.passage.events
    main = others[1]
    graces = [replace(main, grace=True) for _ in range(2)]
    plan = replace(plan, passage=replace(plan.passage, events=(first, others[0], *graces, *others[1:])))
    assert [place_words(Wording(), plan, index) for index in (2, 3, 4)] == [
        "bar 1, beat 2, second main note, first grace note",
        "bar 1, beat 2, second main note, second grace note",
        "bar 1, beat 2, second main note",
    ]


def test_bars_that_a_repeat_cuts_are_named_by_their_neighbours() -> None:
    plan = plan_of("D4:4 | D4:3 | D4:1 | D4:4 | D4:4", (4, 4))
    labels = ("1", "2", "X1", "3", "4")
    measures = tuple(
        replace(measure, label=label) for measure, label in zip(plan.passage.measures, labels, strict=True)
    )
    plan = replace(plan, passage=replace(plan.passage, measures=measures))
    assert place_words(Wording(), plan, 2) == "the upbeat to bar 3"
    assert bars_words(Wording(), plan, 2, 3) == "bar 3"
    assert bars_words(Wording(), plan, 1, 2) == "bar 2"
    assert bars_words(Wording(), plan, 2, 4) == "bars 3-4"
    assert ranges_words(Wording(), plan, [(0, 1), (4, 4)]) == "bars 1-2 and 4"


def test_an_upbeat_numbered_0_goes_with_the_first_bar() -> None:
    plan = plan_of("D4:1 | D4:4 | D4:4", (4, 4))
    measures = tuple(replace(measure, label=str(number)) for number, measure in enumerate(plan.passage.measures))
    plan = replace(plan, passage=replace(plan.passage, measures=measures))
    assert bars_words(Wording(), plan, 0, 2) == "bars 1-2"
    assert bars_words(Wording(), plan, 0, 0) == "the upbeat"
    assert bar_list(Wording(), runs_of_bars(plan.passage, [0, 2])) == "bars 1 and 2"


def test_notes_and_positions_are_named_as_players_name_them() -> None:
    names = ("C4", "F#5", "Bb3", "F##4", "Ebb5")
    assert [Wording().note(Pitch.named(name)) for name in names] == ["C", "F♯", "B♭", "F𝄪", "E𝄫"]
    assert [position_words(Wording(), number) for number in (0, 1, 12, 13)] == [
        "half position", "first position", "twelfth position", "13th position",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("measures", "said"),
    [([2], "bar 3"), ([1, 2], "bars 2 and 3"), ([0, 2, 1], "bars 1-3"), ([0, 1, 3, 4, 5, 3], "bars 1, 2 and 4-6")],
)
def test_three_bars_in_a_row_and_more_are_named_by_their_ends(measures: list[int], said: str) -> None:
    passage = read_passage("D4:1 | D4:1 | D4:1 | D4:1 | D4:1 | D4:1")
    assert bar_list(Wording(), runs_of_bars(passage, measures)) == said


def test_ranges_that_share_a_bar_or_touch_are_told_as_one() -> None:
    plan = plan_of("D4:2 D4:2 | D4:2 D4:2 | D4:2 D4:2 | D4:4", (4, 4))
    assert ranges_words(Wording(), plan, [(0, 2), (3, 4), (6, 6)]) == "bars 1-4"
    assert ranges_words(Wording(), plan, [(2, 2), (3, 3)]) == "bar 2"


def test_one_run_of_bars_is_several_bars() -> None:
    assert bar_list(Wording(), [["19", "20"]]) == "bars 19-20"
