"""Sheets as MusicXML: values, ties, tuplets, beams, small notes, accidentals, brackets, lines."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

import pytest
from lxml import etree

from rules import VIOLA, VIOLIN, Bar, Exercise, Head, Instrument, Pitch, Section, Sheet, SheetForm, SheetNote, Tone
from rules.practice.read_along import legible
from service.drawing.engraving import Layout, engrave
from service.drawing.page_fit import fits_page, room_between
from service.drawing.sheet_page import as_page, content_policy, style
from service.drawing.text_overlaps import overlaps
from service.musicxml.new.document import compose, compose_exercise
from tests.schema import is_valid


def note(name: str, beats: str | int, **more: object) -> SheetNote:
    tones = (Tone(Pitch.named(name), 1, 3),) if name else ()
    return SheetNote(tones, Fraction(beats), 1, **more)  # type: ignore[arg-type]


def sheet(*bars: Bar, instrument: Instrument = VIOLIN, text: str = "") -> Sheet:
    return Sheet("T", "", instrument, (Section("H", "", (Exercise("E", text, bars),)),), ("Take care.",))


def parsed(*bars: Bar, **more: object) -> etree._Element:
    data = compose(sheet(*bars, **more))  # type: ignore[arg-type]
    assert is_valid(data)
    return etree.fromstring(data)


def bar(*notes: SheetNote, meter: tuple[int, int] = (4, 4), fifths: int = 0) -> Bar:
    return Bar(tuple(notes), meter, fifths)


def test_values_and_dots() -> None:
    root = parsed(bar(note("E4", "3/2"), note("E4", "1/2"), note("E4", 2)))
    assert [(n.findtext("type"), len(n.findall("dot"))) for n in root.iter("note")] == [
        ("quarter", 1), ("eighth", 0), ("half", 0),
    ]  # fmt: skip


def test_ties_are_written_and_sounded_and_the_finger_stands_once() -> None:
    root = parsed(bar(note("E4", 4, tied=True)), bar(note("E4", 2), note("", 2)))
    first, second, _ = root.iter("note")
    assert [t.get("type") for t in first.iter("tie", "tied")] == ["start", "start"]
    assert [t.get("type") for t in second.iter("tie", "tied")] == ["stop", "stop"]
    assert first.find(".//fingering") is not None
    assert second.find(".//fingering") is None


def test_slur_over_a_tie_ends_with_the_tie() -> None:
    root = parsed(bar(note("E4", 2, bowed_on=True), note("F4", 2, tied=True)), bar(note("F4", 4)))
    slurs = [[s.get("type") for s in n.iter("slur")] for n in root.iter("note")]
    assert slurs == [["start"], [], ["stop"]]


def test_triplets_are_grouped() -> None:
    triplet = [note("E4", "1/3"), note("F4", "1/3"), note("G4", "1/3")]
    root = parsed(bar(*triplet, *triplet, note("E4", 2)))
    tuplets = [[t.get("type") for t in n.iter("tuplet")] for n in root.iter("note")]
    assert tuplets == [["start"], [], ["stop"], ["start"], [], ["stop"], []]
    assert {n.findtext("time-modification/actual-notes") for n in list(root.iter("note"))[:6]} == {"3"}


def test_beams_join_within_a_beat_only() -> None:
    root = parsed(bar(*(note("E4", "1/2") for _ in range(4)), note("E4", "3/4"), note("E4", "1/4"), note("E4", 1)))
    beams = [[b.text for b in n.iter("beam")] for n in root.iter("note")]
    assert beams == [["begin"], ["end"], ["begin"], ["end"], ["begin"], ["end", "backward hook"], []]


def test_beams_of_compound_metre_join_three() -> None:
    root = parsed(bar(*(note("E4", "1/2") for _ in range(6)), meter=(6, 8)))
    assert [n.findtext("beam") for n in root.iter("note")] == ["begin", "continue", "end"] * 2


def test_accidentals_hold_for_their_bar() -> None:
    root = parsed(
        bar(note("F4", 1), note("F4", 1), note("F#4", 1), note("F4", 1), fifths=1), bar(note("F#4", 4), fifths=1)
    )
    assert [n.findtext("accidental") for n in root.iter("note")] == ["natural", None, "sharp", "natural", None]


def test_small_notes_take_no_time() -> None:
    root = parsed(bar(note("E4", 2), note("F4", 0), note("G4", 2)))
    small = list(root.iter("note"))[1]
    assert small.find("grace") is not None
    assert small.find("duration") is None


def test_half_steps_are_bracketed_from_note_to_note() -> None:
    root = parsed(bar(note("E4", 1, half_step=True), note("F4", 1), note("G4", 2)))
    order = [
        child.tag if child.tag == "note" else child.find(".//bracket").get("type")
        for child in root.find(".//measure")
        if child.tag == "note" or child.find(".//bracket") is not None
    ]
    assert order == ["start", "note", "stop", "note", "note"]


def test_each_exercise_begins_a_line_and_ends_with_a_double_bar() -> None:
    exercise = Exercise("E", "", (bar(note("E4", 4)),))
    section = Section("H", "", (exercise, exercise))
    root = etree.fromstring(compose(Sheet("T", "", VIOLIN, (section,), ())))
    measures = list(root.iter("measure"))
    assert [m.find("print") is not None for m in measures] == [False, True]
    assert {m.findtext("barline/bar-style") for m in measures} == {"light-heavy"}


def test_long_exercises_break_into_even_lines() -> None:
    root = parsed(*(bar(*(note("E4", "1/2") for _ in range(8))) for _ in range(8)))
    lines = [m.get("number") for m in root.iter("measure") if m.find("print") is not None]
    assert lines == ["5"]


def test_viola_has_its_clef() -> None:
    assert parsed(bar(note("C4", 4)), instrument=VIOLA).findtext(".//clef/sign") == "C"


def test_music_alone_has_no_words_but_positions() -> None:
    whole = sheet(bar(note("E4", 4)), text="Listen.")
    root = etree.fromstring(compose_exercise(whole, whole.exercises[0]))
    assert [words.text for words in root.iter("words")] == ["1st pos."]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_page_is_one_file_with_cautions_and_nothing_to_fetch(paper: str) -> None:
    page = as_page(sheet(bar(note("E4", 4)), text="Listen <closely>."), paper=paper)
    assert "Take care." in page
    assert "Listen &lt;closely&gt;." in page
    assert "<svg" in page
    assert f"size: {'A4' if paper == 'a4' else 'letter'}" in page
    for word in ("src=", "@import", "<script", "<link", "url("):
        assert word not in page
    assert style(paper) in page
    assert "sha256-" in content_policy(paper)


def test_silent_and_light_notes_have_heads_of_their_own() -> None:
    tones = [Tone(Pitch.named("G4"), 1, 3, head=head) for head in Head]
    root = parsed(bar(*(SheetNote((tone,), Fraction(1), 3) for tone in tones), note("E4", 1)))
    assert [n.findtext("notehead") for n in root.iter("note")] == [None, "x", "diamond", None]


def test_what_no_finger_reaches_is_a_cue_note_of_its_length() -> None:
    left_out = SheetNote((Tone(Pitch.named("A6")),), Fraction(2), tied=True)
    root = parsed(bar(note("E4", 2), left_out), bar(left_out, note("E4", 2)))
    assert [n.find("cue") is not None for n in root.iter("note")] == [False, True, True, False]
    assert {n.findtext("duration") for n in root.iter("note")} == {"2"}


@pytest.mark.parametrize("upbeat", [False, True])
def test_lines_end_with_phrases_of_four_bars_where_these_fit(upbeat: bool) -> None:
    """Uneven bars, which would break elsewhere if lines were only filled evenly; an upbeat is not counted."""
    full = [bar(*[note("E4", "1/2")] * 8) if number % 5 else bar(note("E4", 4)) for number in range(1, 17)]
    bars = full
    if upbeat:
        short = bar(*[note("E4", "1/2")] * 6)
        bars = [bar(note("E4", 1)), *full[:15], short]
    root = parsed(*bars)
    lines = [int(m.get("number", "")) - upbeat for m in root.iter("measure") if m.find("print") is not None]
    assert lines == [5, 9, 13]


def test_a_double_bar_line_ends_a_part_and_lines_break_only_there() -> None:
    one = bar(*(note("E4", 1) for _ in range(4)))
    closing = replace(one, closes=True)
    root = parsed(one, closing, one, one, closing, one, closing, one, one)
    styles = [m.findtext("barline/bar-style", "") for m in root.iter("measure")]
    assert styles == ["", "light-light", "", "", "light-light", "", "light-light", "", "light-heavy"]
    assert [n for n, m in enumerate(root.iter("measure")) if m.find("print") is not None] == [5]


def test_a_card_with_a_long_title_and_long_remarks_is_known_to_be_higher() -> None:
    plain = sheet(bar(note("E4", 4)))
    long = replace(plain, title="A title that is far too long for one line of a card " * 12, remarks=("x" * 1200,) * 6)
    assert fits_page(plain, [], "a4")
    assert not fits_page(long, [], "a4")


@pytest.mark.parametrize("where", ["heading", "text"])
def test_a_card_with_long_words_over_its_shifts_is_known_to_be_higher(where: str) -> None:
    plain = {"heading": "A shift", "text": "From finger to finger.", "exercises": (), "new_page": False}
    card = sheet(bar(note("E4", 4)))
    assert fits_page(card, [plain] * 3, "a4")
    assert not fits_page(card, [plain | {where: "words " * 600}] * 3, "a4")


def test_words_of_a_crowded_bar_stand_beside_each_other() -> None:
    """A bar of sixteenth notes alone on its line, with a shift after the first: it takes the whole line."""
    first, *others = [note("E4", "1/4")] * 6
    crowded = bar(first, *(replace(each, position=3) for each in others), meter=(3, 8))
    page = as_page(sheet(crowded))
    (picture,) = re.findall(r"<svg[^>]* viewBox.*?</svg>\s*</svg>", page, re.DOTALL)
    assert list(overlaps(picture)) == []


def test_no_line_of_a_text_is_a_word_or_two_that_look_like_a_mark() -> None:
    """Eighty-eight letters fit on a line: here the last word, alone on the next, would be read as a position."""
    text = "The fingers of the left hand stand very high here, where they nearly are in the sixth position."
    root = parsed(bar(note("E4", 4)), text=text)
    lines = [words.text or "" for words in root.iter("words") if (words.text or "") in text]
    assert " ".join(reversed(lines)) == text
    assert min(map(len, lines)) > len(text) / 3


def test_a_position_is_named_at_the_open_string_with_which_an_exercise_begins() -> None:
    """The hand has to be there before the first note. In the middle of a line an open string names nothing."""
    opened = SheetNote((Tone(Pitch.named("A4"), 0, 2),), Fraction(1), 3)
    stopped = SheetNote((Tone(Pitch.named("D5"), 1, 2),), Fraction(1), 3)
    line = Section("", "", (Exercise("", "", (bar(opened, stopped, opened, stopped),)),))
    notes = legible(line, VIOLIN).exercises[0].notes
    assert [each.name_position for each in notes] == [True, False, False, False]
    root = parsed(bar(*notes))
    words = root.xpath("//words[contains(., ' pos.')]")
    assert [word.text for word in words] == ["3rd pos."]
    assert words[0].getparent().getparent().getnext().findtext("pitch/step") == "A"


def test_what_stands_on_a_card_that_is_not_full_stands_further_apart() -> None:
    exercise = {"title": "E", "text": "", "tempo": "", "pictures": (), "is_half": False}
    section = {"heading": "H", "text": "", "exercises": [exercise] * 4, "new_page": False}
    card = sheet(bar(note("E4", 4)))
    (alone,) = room_between(card, [section], "a4")
    two = room_between(card, [section] * 2, "a4")
    assert alone > two[0] == two[1] > 0
    page = as_page(replace(card, form=SheetForm.CARD))
    assert '<section class="airy-3">' in page
    assert "airy" not in as_page(card).partition("<body")[2]


def test_an_exercise_that_moves_on_the_sheet_is_not_engraved_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two exercises with the same music are two: no id stands twice on the page."""
    engraved: list[str] = []

    def watched(score: str, layout: Layout, seed: int) -> Iterator[str]:
        engraved.append(score)
        return engrave(score, layout, seed=seed)

    monkeypatch.setattr("service.drawing.sheet_page.engrave", watched)
    exercises = [Exercise(name, "", (bar(*[note(name, 1)] * 4),) * 5) for name in ("E4", "F4", "E4")]
    first = as_page(replace(sheet(), sections=(Section("", "", tuple(exercises)),)))
    ids = re.findall(r' id="([^"]+)"', first)
    assert len(ids) == len(set(ids)) > 60
    engraved.clear()
    moved = replace(sheet(), title="Another", sections=(Section("", "", tuple(exercises[1::-1])),))
    assert as_page(moved).count("<svg") == 4
    assert engraved == []
