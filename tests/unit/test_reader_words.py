"""What words ask of the left hand, in four languages, and how long it holds (common practice)."""

from __future__ import annotations

import pytest

from rules import HIGHEST_POSITION, VIOLA, VIOLIN, Event
from service.musicxml.read.words import meaning_of
from service.naming import Language, position_word
from tests.small_scores import attributes, grace, note, reading, words


def events(*measures: str) -> tuple[Event, ...]:
    return reading(attributes() + measures[0], *measures[1:]).passage.events


@pytest.mark.parametrize("language", list(Language))
def test_every_position_that_can_be_written_is_read(language: Language) -> None:
    for position in range(HIGHEST_POSITION + 1):
        assert meaning_of(position_word(position, language), VIOLIN).position == position


@pytest.mark.parametrize(
    ("text", "position"),
    [
        ("3rd pos.", 3), ("1st pos.", 1), ("10th pos.", 10), ("III. Lage", 3), ("3. Lage", 3), ("in der 5. Lage", 5),
        ("3e pos.", 3), ("1re pos.", 1), ("3ème position", 3), ("3a pos.", 3), ("III pos.", 3), ("pos. IV", 4),
        ("half pos.", 0), ("halbe Lage", 0), ("demi pos.", 0), ("mezza pos.", 0), ("½ pos.", 0), ("third position", 3),
        ("dritte Lage", 3), ("troisième position", 3), ("terza posizione", 3), ("3rd pos., sul A", 3),
        ("composition", None), ("2nd time", None), ("III", None), ("Allegro", None), ("a 2", None),
    ],
)  # fmt: skip
def test_position_words(text: str, position: int | None) -> None:
    assert meaning_of(text, VIOLIN).position == position


@pytest.mark.parametrize(
    ("text", "string"),
    [
        ("sul G", 4), ("Sul IV", 4), ("sul D", 3), ("sul la", 2), ("sul sol", 4), ("sulla 4a corda", 4), ("IV", 4),
        ("III.", 3), ("I", 1), ("G-Saite", 4), ("auf der G-Saite", 4), ("IV. Saite", 4), ("4e corde", 4),
        ("sur la 4e corde", 4), ("corde de sol", 4), ("4ª corda", 4), ("on the D string", 3), ("3rd pos., sul A", 2),
        ("sul ponticello", None), ("sul tasto", None), ("III. Lage", None), ("V", None), ("Solo", None), ("E", None),
        ("con sord.", None), ("I tempo", None),
    ],
)  # fmt: skip
def test_string_words(text: str, string: int | None) -> None:
    assert meaning_of(text, VIOLIN).string == string


def test_string_names_belong_to_the_instrument() -> None:
    assert meaning_of("sul G", VIOLA).string == 3
    assert meaning_of("sul E", VIOLA).string is None


@pytest.mark.parametrize("text", ["restez", "Restez", "in der Lage bleiben", "stay in position"])
def test_words_that_ask_the_hand_to_stay(text: str) -> None:
    assert meaning_of(text, VIOLIN).restez


def strings(music: str) -> list[int | None]:
    return [event.string for event in events(music)]


def test_string_holds_until_the_next_string_word() -> None:
    music = note("A4") + words("sul G") + note("C5") + note("D5") + words("sul D") + note("E5")
    assert strings(music) == [None, 4, 4, 3]


def test_a_numeral_holds_for_its_note_or_as_long_as_its_line() -> None:
    assert strings(words("IV") + note("C5") + note("D5")) == [4, None]
    assert strings(words("IV---") + note("C5") + note("D5")) == [4, 4]


def test_a_numeral_of_no_string_is_unread_within_a_bar_and_may_be_that_of_a_movement_where_one_begins() -> None:
    within = events(note("C5") + words("VI") + note("D5"))
    assert [event.unread for event in within] == [(), ("VI",)]
    heading = events(words("VI") + note("C5") + note("D5"))
    assert [event.unread for event in heading] == [(), ()]
    assert [event.unread for event in events(note("C5") + words("vi") + note("D5"))] == [(), ()]


def test_string_ends_at_a_rest_a_position_word_or_a_note_it_does_not_have() -> None:
    assert strings(words("sul D") + note("G4") + note("", 1) + note("G4", 2)) == [3, None]
    assert strings(words("sul D") + note("G4") + words("1st pos.") + note("A4", 3)) == [3, None]
    assert strings(words("sul D") + note("G4") + note("B3") + note("G4", 2)) == [3, None, None]
    assert strings(words("sul D") + note("G4") + words("ord.") + note("A4", 3)) == [3, None]


def test_string_holds_as_long_as_its_line() -> None:
    line = "<direction><direction-type><bracket type='{}' number='1' line-end='none'/></direction-type></direction>"
    music = (
        words("sul G") + line.format("start") + note("C5") + note("", 1) + note("D5") + line.format("stop") + note("E5")
    )
    assert strings(music) == [4, 4, None]


def test_position_and_restez_stand_at_their_event_only() -> None:
    found = events(note("E5") + words("3rd pos.") + note("A5") + words("restez") + note("B5") + note("C6"))
    assert [event.position for event in found] == [None, 3, None, None]
    assert [event.restez for event in found] == [False, False, True, False]


def test_words_before_grace_notes_stand_at_the_first_of_them() -> None:
    assert [event.position for event in events(words("3rd pos.") + grace("A5") + note("B5", 4))] == [3, None]
    assert [event.position for event in events(grace("A5") + words("3rd pos.") + note("B5", 4))] == [None, 3]


def test_offset_moves_words() -> None:
    found = events(words("3rd pos.", "<offset>2</offset>") + note("E5", 2) + note("A5", 2))
    assert [event.position for event in found] == [None, 3]


def test_words_are_kept_in_order() -> None:
    passage = reading(attributes() + words("dolce") + note("E5", 4), words(" poco \n rit. ") + note("E5", 4)).passage
    assert [(each.onset, each.measure, each.text) for each in passage.words] == [(0, 0, "dolce"), (4, 1, "poco rit.")]


def test_divided_part_is_said() -> None:
    assert any("divided" in remark for remark in reading(attributes() + words("div.") + note("E5", 4)).passage.remarks)


@pytest.mark.parametrize(
    "text", ["sur la touche", "sulla tastiera", "sulla corda", "sul tasto", "on a bright day", "once more", "one more"]
)
def test_words_that_only_look_like_a_string_ask_for_none(text: str) -> None:
    assert meaning_of(text, VIOLIN).string is None
