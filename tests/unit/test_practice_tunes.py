"""The progressive set: every key up to three sharps or flats, every position, every way of shifting."""

from __future__ import annotations

from fractions import Fraction
from functools import cache
from itertools import pairwise

import pytest

from rules import VIOLIN, Exercise, Key, SheetNote, bar_length, progressive_set

KEYS = ("C", "G", "D", "A", "F", "Bb", "Eb")
MINOR_KEYS = ("Am", "Em", "Bm", "F#m", "Dm", "Gm", "Cm")
POSITIONS = (2, 3, 4, 5)
KINDS = (
    "the position alone",
    "there and back on the first finger",
    "over an open string",
    "led by the second finger",
    "under a slur",
    "all ways mixed",
)

# One position in every major key and every position in two keys each time; all of them in the soak.
_EACH_TIME = {(key, 3) for key in KEYS} | {(key, position) for key in ("D", "Cm") for position in POSITIONS}
EVERY_SET = pytest.mark.parametrize(
    ("key", "position"),
    [
        pytest.param(key, position, marks=() if (key, position) in _EACH_TIME else pytest.mark.slow)
        for key in (*KEYS, *MINOR_KEYS)
        for position in POSITIONS
    ],
)


@cache
def tunes(key: str, position: int) -> dict[str, Exercise]:
    """The tunes of one position by kind; parametrised tests ask for the same ones."""
    sheet = progressive_set(Key.named(key), (position,))
    found = [exercise for section in sheet.sections for exercise in section.exercises if ": " in exercise.title]
    return {exercise.title.partition(": ")[2]: exercise for exercise in found}


def stopped_pairs(tune: Exercise) -> list[tuple[SheetNote, SheetNote]]:
    """Successive fingered notes between which the hand moves."""
    fingered = [note for note in tune.notes if note.tones and not note.is_open]
    return [(a, b) for a, b in pairwise(fingered) if a.position != b.position]


@EVERY_SET
def test_tunes_never_leave_the_stated_positions(key: str, position: int) -> None:
    assert set(tunes(key, position)) == set(KINDS)
    for kind, tune in tunes(key, position).items():
        allowed = {position} if kind == KINDS[0] else {1, position}
        open_pitches = {VIOLIN.open_pitch(string) for string in VIOLIN.string_numbers}
        for note in tune.notes:
            (tone,) = note.tones
            assert note.position in allowed
            if tone.finger == 0:
                assert tone.pitch in open_pitches
                continue
            # Counted from the open string by letter names: the definition of a position.
            letters = tone.pitch.letter - VIOLIN.open_pitch(tone.string or 0).letter
            assert letters - (tone.finger or 0) + 1 == note.position
            assert letters > 0


@EVERY_SET
def test_each_tune_shifts_the_way_it_says(key: str, position: int) -> None:
    found = tunes(key, position)
    assert stopped_pairs(found[KINDS[0]]) == []
    for kind, finger in ((KINDS[1], 1), (KINDS[3], 2)):
        assert len(stopped_pairs(found[kind])) >= 4
        for before, after in stopped_pairs(found[kind]):
            assert before.tones[0].finger == after.tones[0].finger == finger
            assert before.tones[0].string == after.tones[0].string
    notes = list(found[KINDS[2]].notes)
    for _, after in stopped_pairs(found[KINDS[2]]):
        assert notes[notes.index(after) - 1].is_open or any(b is after and a.is_open for a, b in pairwise(notes)), (
            "an open string sounds while the hand moves"
        )
    for before, after in stopped_pairs(found[KINDS[4]]):
        assert before.bowed_on
        assert before.tones[0].finger == after.tones[0].finger


@EVERY_SET
def test_tunes_are_tunes(key: str, position: int) -> None:
    named = Key.named(key)
    for tune in tunes(key, position).values():
        assert len(tune.bars) == 16
        for bar in tune.bars:
            assert sum((note.beats for note in bar.notes), Fraction(0)) == bar_length(bar.meter)
            assert bar.fifths == named.fifths
        melody = [note.tones[0].pitch for note in tune.notes]
        # They close on the tonic; the answer begins like the question and comes back whole at the end.
        assert named.degree(melody[-1].letter) == 1
        assert _pitches(tune, 0, 2) == _pitches(tune, 4, 6)
        assert _pitches(tune, 4, 8) == _pitches(tune, 12, 16)
        steps = [abs(b.letter - a.letter) for a, b in pairwise(melody)]
        assert max(steps) <= 7
        assert sum(step <= 2 for step in steps) >= 0.75 * len(steps)
        for before, after in pairwise(tune.notes):
            # A slur between two notes of one pitch would be a tie.
            assert not (before.bowed_on and before.tones[0].pitch == after.tones[0].pitch)


def _pitches(tune: Exercise, first: int, last: int) -> list[str]:
    return [note.tones[0].pitch.name for bar in tune.bars[first:last] for note in bar.notes]


def test_tunes_of_one_set_differ() -> None:
    sheet = [tune for position in POSITIONS for tune in tunes("D", position).values()]
    openings = {tuple(_pitches(tune, 0, 4)) for tune in sheet}
    assert len(openings) >= 0.8 * len(sheet)


def test_minor_keys_have_their_leading_note() -> None:
    raised = [note.tones[0].pitch.name for tune in tunes("Cm", 3).values() for note in tune.notes]
    assert {"B3", "B4", "B5"} & set(raised)


def test_the_same_key_gives_the_same_set() -> None:
    again = progressive_set(Key.named("G"), (3,)).sections[1].exercises
    assert again == tuple(tunes("G", 3).values())


@pytest.mark.parametrize(("key", "positions"), [("E", (3,)), ("Ab", (3,)), ("D", (7,)), ("D", ())])
def test_what_the_set_does_not_have_is_refused(key: str, positions: tuple[int, ...]) -> None:
    with pytest.raises(ValueError, match=r"three sharps or flats|second, third, fourth and fifth"):
        progressive_set(Key.named(key), positions)
