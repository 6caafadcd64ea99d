"""Exact time: voices, chords, grace notes, ties, metre, tempo, rests."""

from __future__ import annotations

from fractions import Fraction

import pytest

from service.musicxml.read.reader import read_part
from tests.small_scores import attributes, back, forth, grace, notations, note, reading, root_of, spelled, words

TIE_START, TIE_STOP = '<tie type="start"/>', '<tie type="stop"/>'
TIED_START = notations('<tied type="start"/>')


def test_onsets_are_exact_across_divisions() -> None:
    result = reading(attributes(3) + note("E4", 1) * 3 + attributes(8) + note("E4", 5) + note("F4", 19))
    assert [event.onset for event in result.passage.events] == [0, Fraction(1, 3), Fraction(2, 3), 1, Fraction(13, 8)]
    assert result.passage.measures[0].beats == 4


def test_decimal_durations_stay_exact() -> None:
    assert spelled(reading(attributes(1) + note("E4", "0.5") + note("F4", "1.25") + note("G4"))) == (
        "0:E4/1/2 1/2:F4/5/4 7/4:G4/1"
    )


def test_voices_are_put_together_by_time() -> None:
    result = reading(
        attributes()
        + note("E5", 2)
        + note("F5", 2)
        + back(4)
        + forth(1)
        + note("C5", 1, voice="2")
        + note("A4", 2, voice="2")
    )
    assert spelled(result) == "0:E5/2 1:C5/1 2:A4,F5/2"
    held = result.passage.events[1].held
    assert held == (result.passage.events[0].notes[0].id,)


def test_chord_is_sorted_and_rows_follow_the_document() -> None:
    result = reading(attributes() + note("B4", 2) + note("G4", 2, chord=True) + note("D5", 2))
    assert spelled(result) == "0:G4,B4/2 2:D5/2"
    assert [each.row for each in result.passage.notes] == [1, 0, 2]


def test_grace_notes_are_events_before_their_note() -> None:
    result = reading(attributes() + grace("D5") + grace("F5") + grace("A5", chord=True) + note("E5", 4))
    assert spelled(result) == "0:D5/0 0:F5,A5/0 0:E5/4"
    assert [event.grace for event in result.passage.events] == [True, True, False]
    assert [each.row for each in result.passage.notes] == [None, None, None, 0]
    places = [result.places[each.id] for each in result.passage.notes]
    assert [(place.note, place.before) for place in places] == [(0, 0), (1, 0), (2, 0), (3, 0)]


def test_grace_notes_at_the_end_of_a_bar_stay_in_it() -> None:
    result = reading(attributes() + note("E5", 4) + grace("F5"), note("G5", 4))
    assert [(event.onset, event.measure, event.grace) for event in result.passage.events] == [
        (0, 0, False), (4, 0, True), (4, 1, False)
    ]  # fmt: skip


def test_places_count_every_note_of_the_document() -> None:
    result = reading(attributes() + note("", 1) + note("E5", 1) + note("G5", 1, chord=True) + note("C5", 2))
    assert [result.places[each.id][:2] for each in result.passage.notes] == [(1, 1), (2, 1), (3, 3)]
    assert [each.id for each in result.passage.notes] == ["P1/m1/n2", "P1/m1/n3", "P1/m1/n4"]


def test_lower_voice_is_told_apart() -> None:
    result = reading(attributes() + note("E5", 4) + back(4) + note("C5", 4, voice="2"), note("D5", 4, voice="2"))
    lower = {each.pitch.name: result.places[each.id].lower_voice for each in result.passage.notes}
    assert lower == {"E5": False, "C5": True, "D5": False}


# -- ties ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("inside", [TIE_START, TIED_START])
@pytest.mark.parametrize("stop", [TIE_STOP, ""])
def test_tie_start_joins_whether_or_not_its_end_is_written(inside: str, stop: str) -> None:
    result = reading(attributes() + note("E5", 4, inside), note("E5", 2, stop) + note("F5", 2))
    assert spelled(result) == "0:E5/6 6:F5/2"
    assert [each.row for each in result.passage.notes] == [0, 1]


def test_tie_of_which_only_the_end_is_written_joins() -> None:
    assert spelled(reading(attributes() + note("E5", 4), note("E5", 4, TIE_STOP))) == "0:E5/8"


def test_tie_chain_joins_into_one() -> None:
    result = reading(
        attributes() + note("E5", 4, TIE_START), note("E5", 4, TIE_STOP + TIE_START), note("E5", 4, TIE_STOP)
    )
    assert spelled(result) == "0:E5/12"


def test_tie_needs_the_same_alteration() -> None:
    result = reading(attributes() + note("F5", 4, TIE_START), note("F#5", 4, TIE_STOP))
    assert spelled(result) == "0:F5/4 4:F#5/4"
    assert result.passage.remarks == (
        "ties that lead to no note of the same pitch were left out; they may be misprints (bar 1: F)",
    )


def test_tie_may_change_voice_and_cross_a_chord() -> None:
    held = note("C5", 4, TIE_START) + note("E5", 4, chord=True)
    result = reading(attributes() + held, note("F5", 4) + back(4) + note("C5", 4, TIE_STOP, voice="2"))
    assert spelled(result) == "0:C5,E5/8 4:F5/4"
    assert result.passage.events[1].held == ("P1/m1/n1",)
    assert result.passage.events[1].slurred


def test_repeated_note_without_tie_stays_two() -> None:
    assert spelled(reading(attributes() + note("E5", 4), note("E5", 4))) == "0:E5/4 4:E5/4"


def test_two_voices_on_one_note_are_one_stop_and_keep_their_rows() -> None:
    result = reading(attributes() + note("E5", 4) + back(4) + note("E5", 2, voice="2") + note("D5", 2, voice="2"))
    assert spelled(result) == "0:E5/4 2:D5/2"
    assert [each.row for each in result.passage.notes] == [0, 2]


# -- metre ---------------------------------------------------------------------------------------------------------


def beats(time: str, *measures: str) -> list[tuple[Fraction, int]]:
    return [
        (event.beat, event.strength)
        for event in reading(attributes(2, time) + measures[0], *measures[1:]).passage.events
    ]


def test_strength_in_common_time() -> None:
    assert beats("4/4", note("E4", 1) * 8)[:4] == [(1, 3), (Fraction(3, 2), 1), (2, 2), (Fraction(5, 2), 1)]


def test_beats_of_six_eight_are_dotted() -> None:
    found = beats("6/8", note("E4", 1) * 6)
    assert [strength for _, strength in found] == [3, 1, 1, 2, 1, 1]
    assert found[3][0] == 2


def test_pick_up_is_counted_from_the_end_of_the_bar() -> None:
    assert beats("4/4", note("E4", 2), note("F4", 8)) == [(4, 2), (1, 3)]


def test_second_half_of_a_divided_bar_goes_on_counting() -> None:
    found = beats("4/4", note("E4", 8), note("F4", 4), note("G4", 4), note("A4", 8))
    assert found == [(1, 3), (1, 3), (3, 2), (1, 3)]


def test_additive_metre_is_summed() -> None:
    assert reading(attributes(2, "3+2/8") + note("E4", 5)).passage.measures[0].time_signature == (5, 8)


def test_empty_bar_is_as_long_as_its_metre() -> None:
    assert spelled(reading(attributes(1, "3/4") + note("E4", 3), "", note("F4", 3))) == "0:E4/3 6:F4/3"


def test_measure_labels_are_text() -> None:
    result = reading(
        f'<measure number="12a">{attributes()}{note("E4", 4)}</measure>',
        f'<measure number="X1">{note("E4", 4)}</measure>',
    )
    assert [measure.label for measure in result.passage.measures] == ["12a", "X1"]


# -- seconds -------------------------------------------------------------------------------------------------------

METRONOME = (
    "<direction><direction-type><metronome><beat-unit>quarter</beat-unit><beat-unit-dot/>"
    "<per-minute>ca. 60</per-minute></metronome></direction-type></direction>"
)


@pytest.mark.parametrize(
    ("mark", "tempo", "quarter"),
    [
        ("", None, 96),
        ("", 72.0, 72),
        ('<sound tempo="120"/>', 72.0, 120),
        (METRONOME, None, 90),
        (words("Allegro"), None, 132),
        (words("Allegro"), 72.0, 72),
        (words("Andante", '<sound tempo="66"/>'), None, 66),
        (words("Sehr langsam"), None, 44),
        (words("Allegretto grazioso"), None, 112),
        (words("rit."), None, 96),
    ],
)
def test_tempo_comes_from_numbers_then_words(mark: str, tempo: float | None, quarter: float) -> None:
    passage = reading(attributes() + mark + note("E4", 2) + note("F4", 2), tempo=tempo).passage
    assert passage.quarter_tempo == quarter
    assert passage.events[0].seconds == pytest.approx(2 * 60 / quarter)


def test_tempo_change_within_a_note_is_counted_exactly() -> None:
    change = back(2) + '<sound tempo="120"/>' + forth(2)
    passage = reading(attributes() + '<sound tempo="60"/>' + note("E4", 4) + change).passage
    assert passage.events[0].seconds == pytest.approx(2 + 1)


def test_tempo_of_another_part_counts() -> None:
    root = root_of(
        attributes() + '<sound tempo="50"/>' + note("C5", 4),
        name="Flute",
        part_list='<score-part id="P2"><part-name>Violin</part-name></score-part>',
        parts=f'<part id="P2"><measure number="1">{attributes()}{note("E5", 4)}</measure></part>',
    )
    result = read_part(root, "P2")
    assert result.passage.quarter_tempo == 50
    assert result.places["P2/m1/n1"].note == 1


def test_rest_is_the_silence_before_a_note() -> None:
    passage = reading(attributes() + '<sound tempo="60"/>' + note("E4", 1) + note("", 2) + note("F4", 1)).passage
    assert [event.rest for event in passage.events] == [0, pytest.approx(2)]
    assert passage.events[0].seconds == pytest.approx(1)


def test_seconds_end_when_the_next_event_begins() -> None:
    passage = reading(
        attributes() + '<sound tempo="60"/>' + note("E5", 4) + back(4) + forth(1) + note("C5", 3, voice="2")
    ).passage
    assert [event.seconds for event in passage.events] == [pytest.approx(1), pytest.approx(3)]
    assert passage.events[0].beats == 4


def test_fermata_lengthens_and_breath_separates() -> None:
    fermata, breath = notations("<fermata/>"), notations("<articulations><breath-mark/></articulations>")
    passage = reading(
        attributes() + '<sound tempo="60"/>' + note("E4", 2, fermata) + note("F4", 1, breath) + note("G4")
    ).passage
    assert passage.events[0].seconds == pytest.approx(4)
    assert [event.rest > 0 for event in passage.events] == [False, False, True]


def test_hidden_notes_for_playback_keep_their_rows_and_have_no_stop() -> None:
    written_out = "".join(
        note(pitch, 1, voice="2").replace("<note>", '<note print-object="no">') for pitch in ("A4", "B4", "A4", "B4")
    )
    passage = reading(attributes() + note("A4", 4) + back(4) + written_out, note("D4", 4)).passage
    assert [[n.pitch.name for n in event.notes] for event in passage.events] == [["A4"], ["D4"]]
    assert [n.row for n in passage.notes] == [0, 5]
    assert any("playback" in remark for remark in passage.remarks)


def test_a_hidden_note_with_nothing_printed_beside_it_is_played() -> None:
    hidden = note("A4", 4).replace("<note>", '<note print-object="no">')
    assert [n.pitch.name for n in reading(attributes() + hidden).passage.notes] == ["A4"]


def test_behind_a_final_bar_line_another_piece_begins() -> None:
    """Nobody goes on into the next movement without a breath; a repeat sign or a double bar line is no such end."""
    kinds = {"light-heavy": True, "light-light": False, "heavy-light": False}
    for style, ends in kinds.items():
        line = f"<barline><bar-style>{style}</bar-style></barline>"
        result = reading(attributes() + note("E5", 4) + line, note("A5", 4) + line)
        assert [event.rest > 0 for event in result.passage.events] == [False, ends]
    again = '<barline><bar-style>light-heavy</bar-style><repeat direction="backward"/></barline>'
    result = reading(attributes() + note("E5", 4) + again, note("A5", 4))
    assert [event.rest for event in result.passage.events] == [0, 0]
