"""What sounds: transposition, tuning, what is left out; and what is refused, with its place."""

from __future__ import annotations

import pytest

from service.errors import ScoreError
from service.musicxml.read.reader import read_part
from tests.small_scores import attributes, back, note, reading, root_of, spelled


def test_transposition_may_change_within_the_part() -> None:
    down = "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>"
    octave = "<transpose><chromatic>0</chromatic><octave-change>-1</octave-change></transpose>"
    result = reading(attributes(inside=down) + note("C5", 4), attributes(inside=octave) + note("C6", 4))
    assert spelled(result) == "0:Bb4/4 4:C5/4"


def test_octave_shift_and_clef_leave_the_pitch() -> None:
    shift = "<direction><direction-type><octave-shift type='down' size='8'/></direction-type></direction>"
    clef = "<clef><sign>C</sign><line>3</line></clef>"
    assert spelled(reading(attributes(inside=clef) + shift + note("E6", 4))) == "0:E6/4"


def scordatura(*strings: str) -> str:
    accords = "".join(
        f'<accord string="{number}"><tuning-step>{step}</tuning-step><tuning-octave>{octave}</tuning-octave></accord>'
        for number, step, octave in strings
    )
    return f"<direction><direction-type><scordatura>{accords}</scordatura></direction-type></direction>"


def test_scordatura_tunes_the_instrument_and_is_said() -> None:
    passage = reading(attributes() + scordatura("4A3") + note("A3", 4)).passage
    assert [pitch.name for pitch in passage.instrument.open_strings] == ["E5", "A4", "D4", "A3"]
    assert any("A3 D4 A4 E5" in remark for remark in passage.remarks)


@pytest.mark.parametrize(
    ("music", "why"),
    [
        (scordatura("4A3") + note("G3", 4), "lies below the lowest string"),
        (note("A4", 2) + scordatura("4A3") + note("A4", 2), "changes within the part"),
        (scordatura("4B4") + note("B4", 4), "do not rise"),
        (scordatura("5C3") + note("B4", 4), "5 strings"),
    ],
)
def test_tuning_that_is_not_certain_is_refused(music: str, why: str) -> None:
    with pytest.raises(ScoreError, match=why) as raised:
        reading(attributes() + music)
    assert raised.value.code == "scordatura"


def test_cue_unpitched_and_tablature_notes_are_left_out() -> None:
    unpitched = "<note><unpitched/><duration>1</duration></note>"
    cue = note("C5", 1).replace("<note>", "<note><cue/>")
    result = reading(attributes() + unpitched + cue + note("E5", 2, "<staff>1</staff>"))
    assert spelled(result) == "2:E5/2"
    tablature = "<staves>2</staves><clef number='2'><sign>TAB</sign></clef>"
    both = note("E5", 4, "<staff>1</staff>") + back(4) + note("E5", 4, "<staff>2</staff>", voice="2")
    result = reading(attributes(inside=tablature) + both)
    assert len(result.passage.notes) == 1
    assert any("tablature" in remark for remark in result.passage.remarks)


@pytest.mark.parametrize(
    ("music", "code"),
    [
        (note("H4"), "bad-pitch"),
        (note("E4", "abc"), "bad-duration"),
        (note("E4", -1), "bad-duration"),
        (note("E4", "1" * 20), "bad-duration"),
        ("<attributes><divisions>0</divisions></attributes>", "bad-attributes"),
        ("<attributes><time><beats>x</beats><beat-type>4</beat-type></time></attributes>", "bad-attributes"),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_place(music: str, code: str) -> None:
    with pytest.raises(ScoreError) as raised:
        reading(attributes() + note("C5", 4), attributes() + "\n" + music)
    assert raised.value.code == code
    assert raised.value.where == "part P1 (Violin), bar 2, line 2"


def test_unknown_part_is_refused() -> None:
    with pytest.raises(ScoreError, match="There is no part 'P9'"):
        read_part(root_of(note("E4")), "P9")
