"""Notes of other players and staves beside the part: left out, and said."""

from __future__ import annotations

from tests.small_scores import attributes, note, reading, spelled


def test_cue_notes_are_left_out_and_said() -> None:
    cue = note("C5").replace("<note>", "<note><cue/>")
    result = reading(attributes() + note("D4") + cue + note("E4", 2))
    assert spelled(result) == "0:D4/1 2:E4/2"
    assert any("cue notes belong to another player" in remark for remark in result.passage.remarks)


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
