"""Notes of other players and staves beside the part: left out, and said."""

from __future__ import annotations

from lxml import etree

from service.musicxml.file.scan import find_notes, texts_of_notes
from service.musicxml.read.reader import read_part
from tests.small_scores import attributes, note, reading, root_of, spelled


def test_cue_notes_are_left_out_and_said() -> None:
    cue = note("C5").replace("<note>", "<note><cue/>")
    result = reading(attributes() + note("D4") + cue + note("E4", 2))
    assert spelled(result) == "0:D4/1 2:E4/2"
    assert any("cue notes belong to another player" in remark for remark in result.passage.remarks)


def test_a_note_for_playback_is_told_from_its_printed_twin() -> None:
    """All else being equal, what is not printed beside a printed note is left out, however the notes are read."""
    hidden = note("D4").replace("<note>", '<note print-object="no">')
    back = "<backup><duration>1</duration></backup>"
    root = root_of(attributes() + note("D4") + back + hidden + note("D4"))
    text = etree.tostring(root)
    text_of_note = texts_of_notes(text, find_notes(text))
    alike = read_part(root, "P1", text_of_note=text_of_note)
    assert spelled(alike) == "0:D4/1 1:D4/1"
    assert alike.passage.events == read_part(root, "P1").passage.events


def test_an_ossia_staff_is_left_out_and_said() -> None:
    details = '<staff-details number="2"><staff-type>ossia</staff-type></staff-details>'
    above = note("G5", 4, "<staff>2</staff>", voice="2")
    back = "<backup><duration>4</duration></backup>"
    result = reading(
        attributes(inside=f"<staves>2</staves>{details}") + note("D4", 4, "<staff>1</staff>") + back + above
    )
    assert spelled(result) == "0:D4/4"
    assert any("ossia was left out" in remark for remark in result.passage.remarks)


def test_two_staves_are_said() -> None:
    back = "<backup><duration>4</duration></backup>"
    lower = note("G3", 4, "<staff>2</staff>", voice="2")
    result = reading(attributes(inside="<staves>2</staves>") + note("D5", 4, "<staff>1</staff>") + back + lower)
    assert any("2 staves" in remark for remark in result.passage.remarks)
