"""Forms of little tunes: metre, rhythm, harmony and the curve of the melody, bar by bar.

Every tune has sixteen bars: a question that ends on the dominant, its answer that begins alike and ends on the tonic,
a middle part, and the answer again.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from ...music.metre import Meter
from ...text import Text, english

_VALUES = {"w": Fraction(4), "h": Fraction(2), "q": Fraction(1), "e": Fraction(1, 2), "s": Fraction(1, 4)}

CHORDS = {
    "I": (1, 3, 5), "ii": (2, 4, 6), "IV": (4, 6, 1), "V": (5, 7, 2), "vi": (6, 1, 3), "vii": (7, 2, 4),
}  # fmt: skip
"""Degrees of the scale in the chords that a tune is thought over."""
FUNCTIONS = {"I": ("I", "vi"), "ii": ("ii", "IV"), "IV": ("IV", "ii"), "V": ("V", "vii"), "vi": ("vi", "IV")}
"""Chords that can stand for one, the plainest first: two notes in common, and the same way on (common practice)."""
BEFORE = {"V": ("IV", "ii", "vi", "I", "V"), "I": ("V", "vii", "IV", "ii", "I")}
"""Chords that lead to the last one of a phrase; to the tonic they move on to the dominant first (common practice)."""

BARS = 16
ANSWER = 4
"""The bar, from 0, at which the answer begins; its first two bars are those of the question."""
MIDDLE = 8
RETURN = 12
ALIKE = 2
"""So many bars of the answer repeat the question."""


@dataclass(frozen=True, slots=True)
class Beat:
    """One note of a rhythm: its length, and whether the next one is in the same bow."""

    beats: Fraction
    bowed_on: bool


@dataclass(frozen=True)
class Form:
    """The plan of a tune.

    Attributes:
        name: what kind of tune it is, at the beginning of a title.
        name_within: the same within a title.
        meter: the time signature.
        tempo: quarter notes a minute.
        rhythm: one text a bar, for question, answer and middle (four bars each): w h q e s, dots, round brackets slur.
        harmony: a chord a bar, likewise.
        curve: where the melody lies at the beginning of each bar, in steps from the tonic it circles around.
        upbeat: the rhythm of the notes before the first bar; phrases then end with the upbeat to the next one.
    """

    name: Text
    name_within: Text
    meter: Meter
    tempo: float
    rhythm: str
    harmony: str
    curve: tuple[int, ...]
    upbeat: str = ""

    @property
    def upbeat_notes(self) -> tuple[Beat, ...]:
        """The rhythm of the upbeat; empty for a tune that begins with the bar."""
        return _beats(self.upbeat)

    @property
    def bars(self) -> tuple[tuple[Beat, ...], ...]:
        """The rhythm of all sixteen bars; the last one makes a full bar together with the upbeat."""
        written = [_beats(text) for text in self.rhythm.split("|")]
        *again, last = written[ANSWER:MIDDLE]
        return (*written, *again, last[: len(last) - len(self.upbeat_notes)])

    def upbeat_at(self, bar: int) -> int | None:
        """The note of a bar that begins the upbeat to the next phrase; None if there is none."""
        if not self.upbeat or bar % ANSWER != ANSWER - 1 or bar == BARS - 1:
            return None
        return len(self.bars[bar]) - len(self.upbeat_notes)

    @property
    def chords(self) -> tuple[str, ...]:
        """The chord of every bar."""
        written = self.harmony.split()
        return tuple(written + written[ANSWER:MIDDLE])

    def alternatives(self, bar: int) -> tuple[str, ...]:
        """Return the chords that can stand in a bar, its own first; where a phrase begins or ends only that one.

        A phrase is free in its second bar: any chord but that of the leading note.
        """
        chord = self.chords[bar]
        if bar % ANSWER in (0, ANSWER - 1):
            return (chord,)
        if bar % ANSWER == 1:
            return tuple(dict.fromkeys((chord, *FUNCTIONS[chord], *FUNCTIONS)))
        leading = BEFORE[self.chords[bar + 1]] if bar % ANSWER == ANSWER - 2 else FUNCTIONS[chord]
        return tuple(dict.fromkeys((chord, *leading)))

    @property
    def heights(self) -> tuple[int, ...]:
        """The curve of all sixteen bars, and where it ends."""
        return (*self.curve, *self.curve[ANSWER:MIDDLE], 0)


@cache
def _beats(text: str) -> tuple[Beat, ...]:
    found = []
    depth = 0
    for word in text.split():
        depth += word.count("(") - word.count(")")
        bare = word.strip("()")
        beats = _VALUES[bare[0]] * (Fraction(3, 2) if bare.endswith(".") else 1)
        found.append(Beat(beats, depth > 0))
    return tuple(found)


FORMS = (
    Form(english("A song"), english("a song"), (4, 4), 88,
         "q q q q | q. e h | q q q q | h h |"
         "q q q q | q. e h | q q q q | w |"
         "q (e e) q q | h q q | q (e e) q q | h. q",
         "I IV I V  I IV V I  V I ii V", (0, 2, 4, 3, 0, 2, 3, 0, 4, 5, 6, 3)),
    Form(english("A waltz"), english("a waltz"), (3, 4), 116,
         "h q | q q q | (h q) | h q |"
         "h q | q q q | (h q) | h q |"
         "q q q | h q | q q q | h q",
         "I I IV V  I I V I  IV I ii V", (2, 3, 4, 1, 2, 3, 1, 0, 5, 4, 3, 1), "q"),
    Form(english("A march"), english("a march"), (4, 4), 104,
         "q. e q q | q e e h | q q e e q | h q e. s |"
         "q. e q q | q e e h | q q q q | h. e. s |"
         "e e q e e q | q q h | e e q e e q | q q q e. s",
         "I V I V  I V V I  vi IV ii V", (0, 1, 3, 1, 0, 1, 2, 0, 5, 4, 3, 1), "e. s"),
    Form(english("A lullaby"), english("a lullaby"), (6, 8), 66,
         "(q e) (q e) | q. q. | (q e) (q e) | h. |"
         "(q e) (q e) | q. q. | (q e) (q e) | h. |"
         "(e e e) q. | (q e) q. | (e e e) q. | q. q.",
         "I IV I V  I IV V I  IV I ii V", (4, 2, 1, 1, 4, 2, 1, 0, 3, 5, 4, 1)),
    Form(english("A minuet"), english("a minuet"), (3, 4), 108,
         "q e e q | q q q | q e e q | h q |"
         "q e e q | q q q | q e e q | h. |"
         "(e e) q q | q q q | (e e) q q | h q",
         "I IV V V  I IV V I  vi ii V V", (4, 3, 1, 2, 4, 3, 1, 0, 5, 6, 4, 1)),
    Form(english("An air"), english("an air"), (4, 4), 72,
         "h q q | q. e h | h (q q) | h. q |"
         "h q q | q. e h | (q q) (q q) | h. q |"
         "(q q) h | q. e h | (q q) h | h. q",
         "I vi IV V  I vi V I  V I IV V", (2, 4, 3, 1, 2, 4, 1, 0, 4, 6, 5, 3), "q"),
    Form(english("A country dance"), english("a country dance"), (2, 4), 92,
         "e e q | e e e e | e e q | q e e |"
         "e e q | e e e e | e e e e | q e e |"
         "(e e) e e | e e q | (e e) e e | q e e",
         "I IV V V  I IV V I  IV I ii V", (0, 2, 1, 1, 0, 2, 1, 0, 5, 4, 3, 1), "e e"),
    Form(english("A boat song"), english("a boat song"), (6, 8), 84,
         "q e q e | (e e e) q. | q e q e | q. q. |"
         "q e q e | (e e e) q. | q e q e | h. |"
         "q. (e e e) | q. q. | q. (e e e) | q. q.",
         "I V I V  I V V I  vi IV I V", (0, 1, 2, 4, 0, 1, 1, 0, 5, 3, 4, 1)),
    Form(english("A gavotte"), english("a gavotte"), (4, 4), 112,
         "q q e e q | h q q | q q e e q | h q q |"
         "q q e e q | h q q | q e e q q | h q q |"
         "e e q e e q | q q h | e e q e e q | h q q",
         "I V IV V  I V V I  vi IV ii V", (2, 1, 3, 1, 2, 1, 1, 0, 4, 5, 3, 1), "q q"),
    Form(english("A sarabande"), english("a sarabande"), (3, 4), 72,
         "q h | q q. e | q h | h. |"
         "q h | q q. e | (q q) q | h. |"
         "q q. e | q h | q q. e | h q",
         "I IV ii V  I IV V I  vi ii IV V", (4, 3, 2, 1, 4, 3, 1, 0, 5, 4, 3, 1)),
    Form(english("A hornpipe"), english("a hornpipe"), (4, 4), 100,
         "e. s e. s q q | e. s e. s h | q q e. s e. s | h h |"
         "e. s e. s q q | e. s e. s h | e. s e. s q q | w |"
         "q e. s q e. s | q q h | q e. s q e. s | h q q",
         "I V I V  I V V I  IV I ii V", (0, 1, 2, 4, 0, 1, 2, 0, 5, 4, 3, 1)),
    Form(english("A jig"), english("a jig"), (6, 8), 120,
         "e e e q e | q e q. | e e e q e | q. q. |"
         "e e e q e | q e q. | e e e e e e | h. |"
         "q e (e e e) | q e q. | q e (e e e) | q. q.",
         "I IV I V  I IV V I  vi ii IV V", (0, 3, 2, 1, 0, 3, 1, 0, 4, 5, 3, 1)),
    Form(english("A mazurka"), english("a mazurka"), (3, 4), 126,
         "e. s q q | q h | e. s q q | q h |"
         "e. s q q | q h | e. s q q | h. |"
         "q q e. s | (h q) | q q e. s | h q",
         "I V vi V  I V V I  IV I ii V", (2, 1, 4, 1, 2, 1, 2, 0, 3, 5, 4, 1)),
    Form(english("A hymn"), english("a hymn"), (4, 4), 80,
         "h h | h q q | h h | h. q |"
         "h h | h q q | q q h | h. q |"
         "q q h | h h | q q h | h. q",
         "I IV vi V  I IV V I  vi IV ii V", (2, 3, 4, 1, 2, 3, 1, 0, 5, 4, 3, 1), "q"),
    Form(english("A pastoral"), english("a pastoral"), (12, 8), 84,
         "q e q e q. q. | h. q. q. | q e q e q. q. | h. h. |"
         "q e q e q. q. | h. q. q. | q e q e q e q e | w. |"
         "(e e e) q. (e e e) q. | q. q. h. | (e e e) q. (e e e) q. | h. h.",
         "I IV I V  I IV V I  vi IV ii V", (4, 3, 2, 1, 4, 3, 1, 0, 3, 5, 4, 1)),
    Form(english("A polka"), english("a polka"), (2, 4), 100,
         "e s s e e | e e q | e s s e e | q q |"
         "e s s e e | e e q | e e e e | h |"
         "e e e s s | e e q | e e e s s | q q",
         "I V IV V  I V V I  vi ii IV V", (0, 1, 3, 4, 0, 1, 1, 0, 5, 4, 3, 1)),
)  # fmt: skip
"""The tunes that a set is made of, in turn."""


def notes_a_minute(form: Form) -> float:
    """Return how many notes a minute a tune has on average: how lively it is."""
    notes = [note for bar in form.bars for note in bar]
    return len(notes) * form.tempo / float(sum(note.beats for note in notes))


_BY_PACE = sorted(FORMS, key=notes_a_minute)
CALM, LIVELY = tuple(_BY_PACE[: len(FORMS) // 2]), tuple(_BY_PACE[len(FORMS) // 2 :])
"""The calmer half of the forms and the livelier one: two levels of difficulty for each way of shifting."""


def chord_of(alternatives: tuple[str, ...], degrees: Iterable[int]) -> str:
    """Return the first of some chords that has most of the degrees on which the strong notes of a bar stand."""
    wanted = tuple(degrees)
    return max(alternatives, key=lambda chord: sum(degree in CHORDS[chord] for degree in wanted))


__all__ = [
    "ALIKE",
    "ANSWER",
    "BARS",
    "CALM",
    "CHORDS",
    "FORMS",
    "LIVELY",
    "MIDDLE",
    "RETURN",
    "Beat",
    "Form",
    "chord_of",
]
