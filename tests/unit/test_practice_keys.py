"""The key of a sheet: major or minor by the melody, and the minor scale that a hand has in its frame."""

from __future__ import annotations

from fractions import Fraction

import pytest

from rules import VIOLIN, Exercise, Key, Pitch
from rules.practice.drills.scale_drills import scale
from rules.practice.scale_tones import key_of


def key(fifths: int, melody: str) -> str:
    return key_of(fifths, [(Pitch.named(name), Fraction(1)) for name in melody.split()]).name


@pytest.mark.parametrize(
    ("fifths", "melody", "name"),
    [
        (0, "E5 C5 G4 C5 B4 A4", "A minor"),
        (0, "A4 E5 A4 G#4 A4 C5", "C major"),
        (-2, "G4 Bb4 D5 F5 Bb4 D5", "G minor"),
        (-2, "D5 G5 F#5 G5 A5 D5", "G minor"),
        (-2, "D5 Bb4 F5 Bb4 C5 D5", "B flat major"),
        (1, "", "G major"),
    ],
    ids=[
        "ends on the minor tonic",
        "ends on the major one",
        "begins on the minor one",
        "leading note",
        "fifth",
        "none",
    ],
)
def test_key_is_told_by_the_melody(fifths: int, melody: str, name: str) -> None:
    assert key(fifths, melody) == name


def rising(exercise: Exercise | None) -> list[str]:
    """The names up to the highest note."""
    assert exercise is not None
    pitches = [note.tones[0].pitch for note in exercise.notes if note.tones]
    top = max(range(len(pitches)), key=lambda index: pitches[index].midi)
    return [pitch.name for pitch in pitches[: top + 1]]


def test_minor_scale_has_both_raised_degrees_or_neither() -> None:
    """A sharp on the D string would be a stretched fourth finger; G sharp before A natural makes no minor scale."""
    in_e = rising(scale(VIOLIN, Key(1, minor=True), 1, (4, 4), octaves=1))
    assert in_e == ["E4", "F#4", "G4", "A4", "B4", "C#5", "D#5", "E5"]
    in_b = rising(scale(VIOLIN, Key(2, minor=True), 1, (4, 4), octaves=1))
    assert in_b == ["B3", "C#4", "D4", "E4", "F#4", "G4", "A4", "B4"]
