"""What a part leaves to the player, and says so, is noted by a review and not warned of.

MusicXML 4.0: the editorial `<level>` of a note tells its editorial status in words.
"""

from __future__ import annotations

import pytest

from rules import FIRST, Passage, Severity, review_passage
from rules.check.review import Flag
from tests.small_scores import attributes, note, reading


def told(music: str) -> dict[str, Severity]:
    passage: Passage = reading(attributes() + music).passage
    flags: tuple[Flag, ...] = review_passage(passage, FIRST).flags
    return {found.finding.rule: found.severity for found in flags}


def marked(pitch: str, status: str) -> str:
    """A note with its editorial status, which stands before the voice (MusicXML 4.0, group editorial-voice)."""
    return note(pitch, 4).replace("<voice>", f"<level>{status}</level><voice>")


def test_a_note_beyond_the_level_is_an_error() -> None:
    assert told(note("E6", 4))["note-outside-level"] is Severity.ERROR


@pytest.mark.parametrize("status", ["ad libitum", " Ad libitum "])
def test_what_is_left_to_the_player_is_noted(status: str) -> None:
    assert told(marked("E6", status))["note-outside-level"] is Severity.NOTE


def test_another_editorial_status_changes_nothing() -> None:
    assert told(marked("E6", "conjectural"))["note-outside-level"] is Severity.ERROR


def test_a_misprint_is_one_wherever_it_stands() -> None:
    slip = marked("A3", "ad libitum").replace(
        "</note>", "<notations><technical><fingering>4</fingering></technical></notations></note>"
    )
    assert told(slip)["finger-cannot-sound-note"] is Severity.ERROR
