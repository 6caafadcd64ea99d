"""When a term counts: a value just below, between and just beyond both ends of every circumstance.

At 60 quarter notes a minute a length in quarter notes is one in seconds. The expected values follow from the ends that
each circumstance names: 0 at one, 1 at the other, straight in between, in sixteenths.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from rules import VIOLA, Passage, Technique, Words
from rules.cost.context import Character, circumstances
from tests.notation import read_passage


def at_60(text: str) -> Passage:
    return read_passage(text, tempo=60)


def values(passage: Passage, name: str, character: Character = Character.FROM_THE_PART) -> list[float]:
    return [float(value) for value in circumstances(passage, character)[name]]


def even(pitches: str, beats: str, times: int = 1) -> Passage:
    """Notes of one length, again and again."""
    first, *others = pitches.split() * times
    return at_60(" ".join([f"{first}:{beats}", *others]))


def with_words(passage: Passage, *texts: tuple[int, str]) -> Passage:
    """The same, with words above the notes with these onsets."""
    return replace(passage, words=tuple(Words(Fraction(onset), 0, text) for onset, text in texts))


def with_technique(passage: Passage, index: int, technique: Technique) -> Passage:
    """The same, with a technique on the highest note of an event."""
    event = passage.events[index]
    notes = (*event.notes[:-1], replace(event.notes[-1], techniques=frozenset({technique})))
    events = (*passage.events[:index], replace(event, notes=notes), *passage.events[index + 1 :])
    return replace(passage, events=events)


# -- time --------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        # seconds:       0.1, 0.12, 0.21, 0.3, 0.35, 0.775, 1.2, 1.6, 2, 3
        ("long", [0, 0, 0, 0, 0, 0.5, 1, 1, 1, 1]),
        ("very long", [0, 0, 0, 0, 0, 0, 0, 0.5, 1, 1]),
        ("brief", [1, 1, 0.5, 0, 0, 0, 0, 0, 0, 0]),
    ],
)
def test_how_long_a_note_is(name: str, expected: list[float]) -> None:
    lengths = ["1/10", "3/25", "21/100", "3/10", "7/20", "31/40", "6/5", "8/5", "2", "3"]
    assert values(at_60(" ".join(f"A4:{length}" for length in lengths)), name) == expected


def test_ends_of_a_part() -> None:
    passage = at_60("A4 B4 C5")
    assert values(passage, "opening") == [1, 0, 0]
    assert values(passage, "ending") == [0, 0, 1]


def test_a_rest_of_half_a_second_frees_the_hand() -> None:
    passage = at_60("A4 B4 R:1/8 C5:1 R:1/4 D5:1 R:1/2 E5:1 F5")
    assert values(passage, "bound") == [1, 1, 0.75, 0.5, 0, 1]
    assert values(passage, "bound on both sides") == [1, 1, 0.75, 0.375, 0, 0]


def test_slurs_count_as_far_as_the_music_is_bound() -> None:
    passage = at_60("A4 (B4 C5) D5")
    assert values(passage, "slurred") == [0, 0, 1, 0]
    assert values(passage, "bound, slurred") == [0, 0, 1, 0]
    assert values(passage, "bound on both sides, slurred") == [0, 0, 1, 0]


def test_what_came_before_a_move() -> None:
    passage = at_60("A4:1/10 B4:7/40 C5:1/4 D5:31/40 E5:6/5 F5:1")
    assert values(passage, "bound, fast") == [0, 1, 0.5, 0, 0, 0]
    assert values(passage, "after a long note") == [0.75, 0, 0, 0, 0.5, 1], "nothing before counts as one second"


def test_onto_a_note_more_than_half_as_long_again() -> None:
    assert values(at_60("A4:1 B4:3/2 C5:12/5 D5:2"), "onto a longer note") == [0, 0, 1, 0]
    assert values(at_60("A4:3/2 B4"), "onto a longer note") == [0, 0]
    assert values(at_60("A4:8/5 B4:1"), "onto a longer note") == [1, 0], "nothing before counts as one second"


def test_where_a_move_stands_in_the_bar() -> None:
    passage = at_60("A4:1 B4:1/2 C5:1/4 D5 E5:1")
    assert values(passage, "bound, on the beat") == [1, 1, 0, 0, 1]
    assert values(passage, "bound, off the beat") == [0, 0, 0, 1, 0]


@pytest.mark.parametrize(
    ("beats", "slow", "quick"),
    [
        ("1/10", 0, 1), ("3/25", 0, 1), ("433/2500", 0, 0.5), ("1/4", 0, 0), ("3/10", 0, 0), ("49/100", 0.5, 0),
        ("4/5", 1, 0), ("2", 1, 0),
    ],
)  # fmt: skip
def test_slow_and_quick_passages(beats: str, slow: float, quick: float) -> None:
    passage = even("A4 B4", beats, 4)
    assert values(passage, "slow passage") == [slow] * 8
    assert values(passage, "quick passage") == [quick] * 8


def test_six_notes_on_either_side_make_a_passage() -> None:
    passage = at_60("A4:2 B4:1/8 " + "C5 B4 " * 6)
    quick = values(passage, "quick passage")
    assert quick[7:] == [0.9375] * (len(quick) - 7)  # log2(0.125) lies there between those of 0.25 and 0.12
    assert all(value < 0.9375 for value in quick[:7])


def test_an_asked_character_decides_about_slow_and_quick() -> None:
    passage = even("A4 B4", "2", 2)
    assert values(passage, "slow passage", Character.BRILLIANT) == [0] * 4
    assert values(passage, "quick passage", Character.BRILLIANT) == [1] * 4
    assert values(passage, "quick passage", Character.SINGING) == [0] * 4


# -- line --------------------------------------------------------------------------------------------------------------


def test_leaps() -> None:
    passage = at_60("D4 F#4 B4 E4 C5 D5")  # 4, 5, 7, 8 and 2 semitones
    assert values(passage, "over a leap") == [0, 0, 1, 1, 1, 0]
    assert values(passage, "over a wide leap") == [0, 0, 0, 0, 1, 0]
    assert values(passage, "bound, before a leap") == [0, 1, 1, 1, 0, 0]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("A4 B4 A4 C5 C5 C5", 1), ("A4 B4 C5 A4 C5 C5", 1), ("A4 B4 C5 C5 A4 C5", 1), ("A4 B4 C5 C5 C5 A4", 0),
        ("A4 B4 Bb4 Bb4 Bb4", 0), ("B4 A4 A4 A4 A4", 0), ("A4 A4 A4 A4 A4", 0),
    ],
)  # fmt: skip
def test_up_and_back_within_three_notes(text: str, expected: float) -> None:
    assert values(at_60(text), "up and soon back")[1] == expected


@pytest.mark.parametrize(
    ("pitches", "expected"), [("A4 B4", 0), ("A4 C5", 0.1875), ("A4 C#5", 0.625), ("A4 D5", 1), ("A4 E5", 1)]
)
def test_a_passage_leaps_from_two_and_a_half_to_five_semitones(pitches: str, expected: float) -> None:
    assert values(even(pitches, "1", 8), "leaping passage")[8] == expected


def test_only_five_notes_on_either_side_leap_with_a_note_and_none_counts_for_more_than_an_octave() -> None:
    line = "A4 " * 6 + "A6 " * 6  # 24 semitones at one place count as 12, over 11 notes: 1.1
    assert values(at_60(line), "leaping passage") == [0] * 12
    line = "A4 " * 6 + "A6 A4 A6 " + "A6 " * 6  # three leaps: 36 / 11 is 3.3
    leaping = values(at_60(line), "leaping passage")
    assert leaping[7] == 0.3125
    assert leaping[1] == leaping[14] == 0


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("C5 E5 G5", 1), ("C5 Eb5 F#5", 1), ("C5 D5 G5", 0), ("C5 F5 G5", 0), ("C5 E5 C5", 0), ("G5 E5 C5", 1),
        ("C5 E5 E5", 0),
    ],
)  # fmt: skip
def test_within_a_broken_chord(text: str, expected: float) -> None:
    assert values(at_60(text), "within a broken chord") == [0, expected, 0]


def test_a_note_that_recurs_in_separate_bows_while_another_line_moves() -> None:
    text = "(D4:1/4 E4) F#4 A4 G4 A4 B4 A4 C5:1"
    assert values(at_60(text), "recurring, detached") == [0, 0, 0, 1, 0, 1, 0, 1, 0]
    assert values(at_60(text.replace("(", "").replace(")", "")), "recurring, detached") == [0] * 9, "no slurs printed"
    slow = text.replace("1/4", "2/5")
    assert values(at_60(slow), "recurring, detached") == [0] * 9, "from 0.4 seconds on it is no figure"
    assert values(at_60("(D4:1/4 E4) F#4 (A4 G4 A4 B4 A4) C5:1"), "recurring, detached")[5:8] == [0, 0, 0]


def test_what_recurs_more_often_than_its_neighbours() -> None:
    """The same two notes to and fro: neither is the one that recurs; of three, it is the one that comes twice."""
    assert values(at_60("(D4:1/4 E4) A4 B4 A4 B4 A4 B4 D5:1"), "recurring, detached")[4:6] == [0, 0]
    found = values(at_60("(D4:1/4 E4) A4 B4 A4 C5 A4 C5 A4 D5 A4"), "recurring, detached")
    assert found[4:9:2] == [1, 1, 1]
    assert found[3:9:2] == [0, 0, 0]


# -- part --------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("high", "expected"), [("B5", 0), ("C6", 0.5)])
def test_how_demanding_a_part_is(high: str, expected: float) -> None:
    """One note in fifty beyond the fourth finger on the highest string, in first position; two would be enough."""
    passage = at_60("A4 " * 49 + high)
    assert values(passage, "demanding part") == [expected] * 50
    assert values(passage, "modest part") == [1 - expected] * 50


def test_a_demanding_part_in_separate_bows() -> None:
    passage = at_60("(A4 B4) C6")
    assert values(passage, "demanding part") == [1, 1, 1]
    assert values(passage, "modest part") == [0, 0, 0]
    assert values(passage, "demanding part, detached") == [1, 0, 1]


def test_the_compass_is_that_of_the_instrument() -> None:
    assert values(read_passage("E5", instrument=VIOLA), "demanding part") == [0]
    assert values(read_passage("F5", instrument=VIOLA), "demanding part") == [1]


def test_high_notes_around_and_ahead() -> None:
    passage = at_60("A4 " * 10 + "C6 " + "A4 " * 10)
    within = values(passage, "passage within first position")
    assert [index for index, value in enumerate(within) if not value] == list(range(2, 19))
    ahead = values(passage, "high notes ahead")
    assert [index for index, value in enumerate(ahead) if value] == list(range(5, 11))


def test_a_low_line_lies_below_the_second_string_within_its_phrase() -> None:
    low = values(at_60("A4 A4 A4 A4 B4 A4 A4 A4 A4"), "low line")
    assert low == [1, 0, 0, 0, 0, 0, 0, 0, 1]
    assert values(at_60("A4 A4 B4 R:1/2 A4:1 G4 R:1/2 B4:1 A4"), "low line") == [0, 0, 0, 1, 1, 0, 0], "between rests"
    assert values(at_60("A4 A4 B4 R:2/5 A4:1 G4"), "low line") == [0] * 5, "too short a rest to part phrases"


# -- figures -----------------------------------------------------------------------------------------------------------

PEDAL = "A4:1/4 C5 A4 D5 A4 E5 A4"


def test_a_pedal() -> None:
    assert values(at_60(f"{PEDAL} G5 F5 E5"), "pedal") == [1] * 7 + [0] * 3
    assert values(at_60(f"G5:1/4 F5 {PEDAL} G5 F5"), "pedal") == [0] * 2 + [1] * 7 + [0] * 2


def test_two_pedals_one_after_the_other() -> None:
    second = "E4:1/4 G4 E4 A4 E4 B4 E4"
    assert values(at_60(f"{PEDAL} {second} G5 F5 C5"), "pedal") == [1] * 14 + [0] * 3


@pytest.mark.parametrize(
    "text",
    [
        "A4:1/4 C5 A4 D5 A4 G5 F5 E5",  # two notes of the line only
        "A4:2/5 C5 A4 D5 A4 E5 A4 G5 F5",  # too slow
        "A4:1/4 (C5 A4) D5 A4 E5 A4 G5 F5",  # slurred
        "A4:1/4 C5 A4 G4 A4 E5 A4 G5 F5",  # the line crosses it
        "A4:1/4 Bb4 A4 B4 A4 Bb4 A4 G5 F5",  # never a minor third away
        "A4:1/4 C5 A4 C5 A4 C5 A4 G5 F5",  # no line
        "A4:1/4 A4 A4 C5 A4 D5 A4 G5 F5",  # the same note
    ],
)
def test_no_pedal(text: str) -> None:
    passage = at_60(text)
    assert values(passage, "pedal") == [0] * len(passage.events)


@pytest.mark.parametrize(
    "text",
    [
        "A4:1/4 G4 A4 F#4 A4 E4 A4 G5 F5",  # below
        "A4:1/4 Bb4 A4 B4 A4 C5 A4 G5 F5",  # once a minor third away
        "A4:39/100 C5 A4 D5 A4 E5 A4 G5 F5",  # just quick enough
    ],
)
def test_a_pedal_just_so(text: str) -> None:
    assert values(at_60(text), "pedal")[:7] == [1] * 7


BARIOLAGE = "E5:1/4 G#5 E5 E5 E5 F#5 E5 D#5 E5"


def test_a_line_that_meets_an_open_string_is_played_against_it() -> None:
    figure = at_60(f"{BARIOLAGE} B5 C6")
    assert values(figure, "pedal") == [1] * 9 + [0] * 2
    assert values(figure, "bariolage") == [1] * 9 + [0] * 2
    assert values(figure, "ringing in a pedal figure") == [1, 0, 1, 1, 1, 0, 1, 0, 1, 0, 0]
    assert values(figure, "pedal figure with an open string") == [1] * 9 + [0] * 2


@pytest.mark.parametrize(
    "text",
    [
        "F5:1/4 A5 F5 F5 F5 G5 F5 E5 F5",  # no open string
        "E5:1/4 D5 E5 E5 E5 D5 E5 B5 C6",  # never a minor third away
        "E5:1/4 E5 E5 G5 E5 F5 E5 B5 C6",  # the line only begins there
    ],
)
def test_no_bariolage(text: str) -> None:
    passage = at_60(text)
    assert values(passage, "bariolage") == [0] * len(passage.events)


def test_an_open_string_rings_in_the_line_of_a_pedal_too() -> None:
    figure = at_60("G#5:1/4 E5 G#5 D#5 G#5 E5 G#5 D#5 G#5 B5 C6")
    assert values(figure, "ringing in a pedal figure") == [0, 1, 0, 0, 0, 1, 0, 0, 0, 0, 0]
    assert values(figure, "bariolage") == [0] * 11
    stopped = at_60("A5:1/4 F5 A5 D5 A5 F5 A5 D5 A5 B5 C6")
    assert values(stopped, "pedal figure with an open string") == [0] * 11


@pytest.mark.parametrize(
    ("technique", "trilled", "gliding"),
    [
        (Technique.TRILL, 1, 0), (Technique.MORDENT, 1, 0), (Technique.TURN, 1, 0), (Technique.GLISSANDO, 0, 1),
        (Technique.TREMOLO, 0, 0),
    ],
)  # fmt: skip
def test_trills_and_glides_on_notes_and_in_chords(technique: Technique, trilled: float, gliding: float) -> None:
    for text in ("A4 B4", "A4 [D4 B4]"):
        passage = with_technique(at_60(text), 1, technique)
        assert values(passage, "trilled") == [0, trilled]
        assert values(passage, "gliding") == [0, gliding]


# -- tone --------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("beats", "expected"), [("1/4", 0), ("1187/2500", 0.375), ("9/10", 0.8125), ("2", 0.8125)])
def test_long_notes_sing(beats: str, expected: float) -> None:
    """Four fifths from 0.9 seconds on, in sixteenths."""
    assert values(even("A4 B4", beats, 4), "singing") == [expected] * 8


def test_slurs_and_words_make_a_passage_sing() -> None:
    assert values(at_60("(A4:1/4 B4 A4 B4 A4)"), "singing") == [0.1875] * 5, "a fifth of the share of slurred notes"
    plain = even("A4 B4", "1/4", 2)
    assert values(with_words(plain, (0, "Dolce")), "singing") == [0.25] * 4
    long = even("A4 B4", "1", 2)
    assert values(with_words(long, (2, "con brio")), "singing") == [0.8125, 0.8125, 0.5625, 0.5625]
    assert values(with_words(long, (0, "espr. "), (2, "leggiero")), "singing") == [0.8125, 0.8125, 0.5625, 0.5625]


def tone(passage: Passage, character: Character = Character.FROM_THE_PART) -> list[list[float]]:
    """How long notes count for their tone, as they come, and at all."""
    names = ("long, for its tone", "long, as it comes", "long")
    return [values(passage, name, character) for name in names]


def rows(count: int, *shares: float) -> list[list[float]]:
    return [[share] * count for share in shares]


def test_a_plain_tune_is_played_as_it_comes() -> None:
    assert tone(even("A4 B4", "2", 2)) == rows(4, 0, 1, 1)


def test_where_singing_is_asked_for_long_notes_count_for_their_tone() -> None:
    passage = even("A4 B4", "6/5", 2)
    assert tone(with_words(passage, (0, "cantabile"))) == rows(4, 1, 0, 1)
    assert tone(passage, Character.SINGING) == rows(4, 1, 0, 1)
    assert tone(passage, Character.BRILLIANT) == rows(4, 0, 1, 1)
    assert values(passage, "singing, as it comes", Character.SINGING) == [0] * 4


def test_beyond_first_position_a_very_long_note_counts_half() -> None:
    assert tone(even("C6 C6", "8/5"))[0] == [0, 0]
    assert tone(even("C6 C6", "2"))[0] == [0.25, 0.25]
    assert tone(even("C6 C6", "12/5"))[0] == [0.5, 0.5]
    assert values(even("C6 C6", "12/5"), "very long, for its tone") == [0.5, 0.5]
    assert tone(even("B5 B5", "12/5"))[0] == [0, 0], "a tune within first position"
    assert tone(at_60("(B5:12/5 A5) A5 A5 A5 A5 A5 A5 A5"))[0][4] > 0, "more than a tenth of the notes slurred"


def test_slurs_ask_for_tone_from_a_twentieth_to_three_tenths_of_the_notes() -> None:
    """With notes of 0.9 seconds and more the share of slurred notes alone decides."""
    passage = at_60("(A4:6/5 B4 A4) B4 A4 B4 A4 B4")  # all see all: 2 of 8, 0.8 of the way
    assert tone(passage) == rows(8, 0.8125, 0.1875, 1)


@pytest.mark.parametrize(("beats", "expected"), [("3/10", 0), ("52/100", 0.125), ("9/10", 0.625)])
def test_in_quick_music_no_tone_is_asked_for(beats: str, expected: float) -> None:
    """Long notes (from 0.35 seconds) count as far as the notes around are from 0.3 to 0.9 seconds long."""
    passage = with_words(even("A4 B4", beats, 4), (0, "dolce"))
    assert values(passage, "long, for its tone") == [expected] * 8


def test_plucked_notes_have_no_tone() -> None:
    passage = with_words(even("A4 B4", "6/5", 2), (0, "cantabile, pizz."), (Fraction(12, 5), "arco"))  # type: ignore[arg-type]
    assert tone(passage) == [[0, 0, 1, 1], [0, 0, 0, 0], [0, 0, 1, 1]]
    assert values(passage, "plucked") == [1, 1, 0, 0]
    assert values(passage, "singing")[:2] == [0, 0]


def test_thrown_notes_are_long_but_not_heard_for_their_tone() -> None:
    passage = with_words(even("A4 B4", "6/5", 2), (0, "espressivo"), (0, "col legno battuto"), (0, "saltando"))
    assert tone(passage)[0] == [0] * 4
    spiccato = with_words(even("A4 B4", "6/5", 2), (0, "spicc."))
    assert values(spiccato, "plucked") == [0] * 4
    assert tone(spiccato) == rows(4, 0, 1, 1)
