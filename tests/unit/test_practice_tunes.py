"""The progressive set: every key up to four sharps or flats, every position, every way of shifting."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import cache
from itertools import pairwise

import pytest

from rules import VIOLIN, Bar, Bow, Exercise, Key, Sheet, SheetNote, bar_length, beat_length, progressive_set
from rules.practice.tunes.forms import FORMS, Form, notes_a_minute

KEYS = ("C", "G", "D", "A", "E", "F", "Bb", "Eb", "Ab")
MINOR_KEYS = ("Am", "Em", "Bm", "F#m", "C#m", "Dm", "Gm", "Cm", "Fm")
POSITIONS = (2, 3, 4, 5)
KINDS = (
    "the position alone",
    "there and back on the first finger",
    "over an open string",
    "over a rest",
    "led by the second finger",
    "from one finger to another",
    "under a slur",
    "all ways mixed",
)

# The position learned first, the highest one, and one in minor; in the long tests every position in one key, and
# the keys with the most signs; all of them in the soak.
_EACH_TIME = {("D", 3), ("D", 5), ("Cm", 3)}
_LONG = {("D", 2), ("D", 4), ("E", 3), ("Ab", 3)}


def _mark(key: str, position: int) -> Sequence[pytest.MarkDecorator]:
    if (key, position) in _EACH_TIME:
        return ()
    return [pytest.mark.long if (key, position) in _LONG else pytest.mark.slow]


EVERY_SET = pytest.mark.parametrize(
    ("key", "position"),
    [pytest.param(key, position, marks=_mark(key, position)) for key in (*KEYS, *MINOR_KEYS) for position in POSITIONS],
)


@cache
def whole_set(key: str, position: int) -> Sheet:
    """The set of one position; parametrised tests ask for the same ones."""
    return progressive_set(Key.named(key), (position,))


def levels(key: str, position: int) -> tuple[dict[str, Exercise], dict[str, Exercise]]:
    """The tunes of one position by kind: the calm ones and the lively ones."""
    found = [exercise for exercise in whole_set(key, position).exercises if ": " in exercise.title]
    calm, lively = ({tune.title.partition(": ")[2]: tune for tune in found[level::2]} for level in (0, 1))
    return calm, lively


def tunes(key: str, position: int) -> list[Exercise]:
    """All tunes of one position."""
    return [tune for level in levels(key, position) for tune in level.values()]


def form_of(tune: Exercise) -> Form:
    return next(form for form in FORMS if form.name == tune.title.partition(":")[0])


def full_bars(tune: Exercise) -> tuple[Bar, ...]:
    """The sixteen bars behind the upbeat."""
    return tune.bars[-16:]


def moves(tune: Exercise) -> list[tuple[SheetNote, SheetNote, bool]]:
    """Successive fingered notes between which the hand moves, and whether a rest stands between them."""
    found, before, rested = [], None, False
    for note in tune.notes:
        if note.is_rest:
            rested = True
        elif not note.is_open:
            if before is not None and before.position != note.position:
                found.append((before, note, rested))
            before, rested = note, False
    return found


def stopped_pairs(tune: Exercise) -> list[tuple[SheetNote, SheetNote]]:
    """The same, but for the breath before the answer, where the hand moves in a rest."""
    return [(before, after) for before, after, rested in moves(tune) if not rested]


ANSWER = 4
"""The bar in which the answer begins (from 0): the hand comes home in the rest before it."""
BEFORE_THE_END = (6, 14)
"""The bars before the last one of the answer, and of its return."""


@EVERY_SET
def test_tunes_never_leave_the_stated_positions(key: str, position: int) -> None:
    assert all(list(level) == list(KINDS) for level in levels(key, position))
    for kind, tune in ((kind, tune) for level in levels(key, position) for kind, tune in level.items()):
        allowed = {position} if kind == KINDS[0] else {1, position}
        open_pitches = {VIOLIN.open_pitch(string) for string in VIOLIN.string_numbers}
        for note in tune.notes:
            if note.is_rest:
                continue
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
@pytest.mark.parametrize("level", [0, 1])
def test_each_tune_shifts_the_way_it_says(key: str, position: int, level: int) -> None:
    found = levels(key, position)[level]
    assert moves(found[KINDS[0]]) == []
    for kind, finger in ((KINDS[1], 1), (KINDS[4], 2)):
        assert len(stopped_pairs(found[kind])) >= 4
        for before, after in stopped_pairs(found[kind]):
            assert before.tones[0].finger == after.tones[0].finger == finger
            assert before.tones[0].string == after.tones[0].string
    notes = list(found[KINDS[2]].notes)
    for _, after in stopped_pairs(found[KINDS[2]]):
        assert any(b is after and a.is_open for a, b in pairwise(notes)), "an open string sounds while the hand moves"
    for before, after in stopped_pairs(found[KINDS[6]]):
        assert before.bowed_on
        assert before.tones[0].finger == after.tones[0].finger
    for before, after in stopped_pairs(found[KINDS[5]]):
        assert before.tones[0].finger != after.tones[0].finger
        assert before.tones[0].string == after.tones[0].string
    assert len(moves(found[KINDS[3]])) >= 4
    assert all(rested for _, _, rested in moves(found[KINDS[3]])), "the hand moves in silence"


@EVERY_SET
def test_the_last_tunes_also_shift_in_the_middle_of_a_bar(key: str, position: int) -> None:
    for level in levels(key, position):
        bar = full_bars(level[KINDS[7]])[9]
        assert len({note.position for note in bar.notes if note.tones}) == 2


@EVERY_SET
def test_the_second_tune_of_a_kind_is_livelier(key: str, position: int) -> None:
    calm, lively = levels(key, position)
    for kind in KINDS:
        slow, quick = (notes_a_minute(form_of(level[kind])) for level in (calm, lively))
        assert slow < quick


@pytest.mark.long
def test_some_tunes_begin_with_an_upbeat_that_the_last_bar_makes_up_for() -> None:
    begun = [tune for position in POSITIONS for tune in tunes("D", position) if len(tune.bars) == 17]
    assert len({form_of(tune).name for tune in begun}) >= 4
    for tune in begun:
        first, last = tune.bars[0], tune.bars[-1]
        beats = [sum((note.beats for note in bar.notes), Fraction(0)) for bar in (first, last)]
        assert sum(beats) == bar_length(first.meter)
        assert not any(note.is_rest for note in (*first.notes, *last.notes))
        # The stroke of the first note lets the first full bar begin down.
        strokes = sum(not note.bowed_on for note in first.notes)
        assert first.notes[0].bow is (Bow.UP if strokes % 2 else Bow.DOWN)
        # The answer, and its return, begin with the same upbeat.
        named = [note.tones[0].pitch for note in first.notes]
        for bar in (ANSWER - 1, 2 * ANSWER + 3):
            assert [note.tones[0].pitch for note in full_bars(tune)[bar].notes[-len(named) :]] == named


@EVERY_SET
def test_tunes_are_tunes(key: str, position: int) -> None:
    named = Key.named(key)
    for tune in tunes(key, position):
        upbeat = len(form_of(tune).upbeat_notes)
        assert len(tune.bars) == 16 + bool(upbeat)
        for bar in tune.bars[1:-1] if upbeat else tune.bars:
            assert sum((note.beats for note in bar.notes), Fraction(0)) == bar_length(bar.meter)
        assert {bar.fifths for bar in tune.bars} == {named.fifths}
        melody = [note.tones[0].pitch for note in tune.notes if note.tones]
        # They close on the tonic; the answer begins like the question and comes back whole at the end.
        assert named.degree(melody[-1].letter) == 1
        assert _pitches(tune, 0, 2) == _pitches(tune, 4, 6)
        assert _pitches(tune, 4, 7) == _pitches(tune, 12, 15)
        answer = _pitches(tune, 7, 8)
        assert answer[: len(answer) - upbeat] == _pitches(tune, 15, 16)
        sounding = [note for note in tune.notes if note.tones]
        pairs = [(a, b, abs(b.tones[0].pitch.letter - a.tones[0].pitch.letter)) for a, b in pairwise(sounding)]
        assert max(step for _, _, step in pairs) <= 7
        # Where the hand stays, mostly steps and thirds; a shift of three positions is a fourth.
        staying = [step for a, b, step in pairs if a.position == b.position]
        assert sum(step <= 2 for step in staying) >= 0.7 * len(staying)
        for before, after in pairwise(tune.notes):
            # A slur between two notes of one pitch would be a tie.
            assert not (before.bowed_on and before.tones == after.tones)


def _pitches(tune: Exercise, first: int, last: int) -> list[str]:
    return [note.tones[0].pitch.name for bar in full_bars(tune)[first:last] for note in bar.notes if note.tones]


@EVERY_SET
def test_tunes_keep_the_rules_of_phrase_and_line(key: str, position: int) -> None:
    """Common practice: the opening is of the tonic's chord, the question stays open, the answer closes by step or from
    the fifth; leaps are left by step or back; one chord fits all strong notes of a bar; the highest note comes in one
    bar only (the return repeats the answer)."""
    named = Key.named(key)
    leaps = recovered = strong = fitting = summits = 0
    for tune in tunes(key, position):
        form = form_of(tune)
        upbeat = len(form.upbeat_notes)
        by_bar = [[note for note in bar.notes if note.tones] for bar in full_bars(tune)]
        melody = [note.tones[0].pitch for note in tune.notes if note.tones]
        assert named.degree(melody[0].letter) in (1, 3, 5)
        end = by_bar[ANSWER - 1][-1 - upbeat].tones[0].pitch
        assert named.degree(end.letter) in (2, 5, 7)
        assert abs(melody[-1].letter - melody[-2].letter) <= 1 or named.degree(melody[-2].letter) == 5
        assert max(p.letter for p in melody) - min(p.letter for p in melody) <= 14
        for before, leapt, after in zip(melody, melody[1:], melody[2:], strict=False):
            first, second = leapt.letter - before.letter, after.letter - leapt.letter
            leaps += abs(first) > 3
            recovered += abs(first) > 3 and first * second <= 0 and abs(second) <= 2
        for number, bar in enumerate(by_bar):
            own = bar[: len(bar) - upbeat] if number in (3, 7, 11) else bar
            degrees = [named.degree(note.tones[0].pitch.letter) for note in _on_beats(own, form)]
            if number in BEFORE_THE_END and len(degrees) > 1 and degrees[-1] in CHORD_DEGREES["V"]:
                degrees.pop()  # before the end of a phrase the chord moves on to the dominant
            strong += len(degrees)
            fitting += max(sum(d in CHORD_DEGREES[chord] for d in degrees) for chord in form.alternatives(number))
        top = max(p.midi for p in melody)
        highest = [n for n, bar in enumerate(by_bar) if any(note.tones[0].pitch.midi == top for note in bar)]
        summits += len({number - 8 if number >= 12 else number for number in highest}) == 1
    assert leaps - recovered <= max(2, leaps / 5)
    assert fitting >= 0.99 * strong
    assert summits >= 0.6 * len(tunes(key, position))


def _on_beats(notes: list[SheetNote], form: Form) -> Iterator[SheetNote]:
    """The notes of a bar that begin on a beat and last as long."""
    place, beat = Fraction(0), beat_length(form.meter)
    for note in notes:
        if place == 0 or (place % beat == 0 and note.beats >= beat):
            yield note
        place += note.beats


CHORD_DEGREES = {"I": {1, 3, 5}, "ii": {2, 4, 6}, "IV": {4, 6, 1}, "V": {5, 7, 2}, "vi": {6, 1, 3}, "vii": {7, 2, 4}}


@pytest.mark.parametrize("key", [pytest.param(key, marks=_mark(key, 3)) for key in KEYS])
def test_first_tune_in_third_position_begins_under_the_first_finger(key: str) -> None:
    first = levels(key, 3)[0][KINDS[0]].notes[0].tones[0]
    assert first.finger == 1
    assert first.string in (1, 2, 3)


@EVERY_SET
def test_second_part_is_consonant_and_runs_in_no_parallels(key: str, position: int) -> None:
    """First species: consonant where a bar begins, no fifths or octaves in the same direction, in first position."""
    seconds = [exercise for exercise in whole_set(key, position).exercises if exercise.title.startswith("Second part")]
    assert len(seconds) == 2 * len(KINDS)
    in_order = [
        tune for pair in zip(*(level.values() for level in levels(key, position)), strict=True) for tune in pair
    ]
    for tune, second in zip(in_order, seconds, strict=True):
        lengths = [[sum((n.beats for n in bar.notes), Fraction(0)) for bar in line.bars] for line in (tune, second)]
        assert lengths[0] == lengths[1]
        over = [next(note.tones[0].pitch for note in bar.notes if note.tones) for bar in full_bars(tune)]
        under = [bar.notes[0].tones[0].pitch for bar in full_bars(second)]
        assert all(note.position == 1 for note in second.notes if note.tones)
        intervals = [round(high.midi - low.midi) for high, low in zip(over, under, strict=True)]
        assert all(interval >= 0 and interval % 12 in {0, 3, 4, 7, 8, 9} for interval in intervals)
        for number in range(1, len(over)):
            both = (over[number].letter - over[number - 1].letter) * (under[number].letter - under[number - 1].letter)
            same = intervals[number] % 12 == intervals[number - 1] % 12
            assert not (both > 0 and same and intervals[number] % 12 in {0, 7})
        assert Key.named(key).degree(under[-1].letter) == 1


@pytest.mark.long
def test_tunes_of_one_set_differ() -> None:
    sheet = [tune for position in POSITIONS for tune in tunes("D", position)]
    openings = {tuple(_pitches(tune, 0, 4)) for tune in sheet}
    assert len(openings) >= 0.8 * len(sheet)


def test_minor_keys_have_their_leading_note() -> None:
    raised = [note.tones[0].pitch.name for tune in tunes("Cm", 3) for note in tune.notes if note.tones]
    assert {"B3", "B4", "B5"} & set(raised)


@pytest.mark.long
def test_the_same_key_gives_the_same_set() -> None:
    """Worked out anew."""
    assert progressive_set(Key.named("D"), (3,)) == whole_set("D", 3)


@pytest.mark.parametrize(("key", "positions"), [("B", (3,)), ("Db", (3,)), ("D", (7,)), ("D", ())])
def test_what_the_set_does_not_have_is_refused(key: str, positions: tuple[int, ...]) -> None:
    with pytest.raises(ValueError, match=r"four sharps or flats|second, third, fourth and fifth"):
        progressive_set(Key.named(key), positions)


@EVERY_SET
def test_silence_takes_a_plain_part_of_the_beat(key: str, position: int) -> None:
    """In compound time a beat is divided by three: no rest lasts half of one (common practice)."""
    rests = [(tune.bars[0].meter, note.beats) for tune in tunes(key, position) for note in tune.notes if note.is_rest]
    assert rests
    for meter, beats in rests:
        assert beats % beat_length(meter) == 0 or beats.numerator == 1, (meter, beats)


def test_what_the_teacher_plays_stands_together_at_the_end() -> None:
    sections = progressive_set(Key.named("D"), (3, 2)).sections
    assert [section.is_for_teacher for section in sections] == [False] * 4 + [True] * 2
    assert not any(section.new_page for section in sections), "no half-empty page before a position"


@pytest.mark.parametrize(("key", "position"), [("F#m", 5), pytest.param("Am", 4, marks=pytest.mark.long)])
def test_no_open_string_stands_for_the_leading_note(key: str, position: int) -> None:
    """In F sharp minor the open E before the final F sharp would have to be E sharp."""
    of_key = Key.named(key)
    for tune in tunes(key, position):
        bars = full_bars(tune)
        for number, chord in enumerate(form_of(tune).chords):
            if chord == "V":
                tones = [note.tones[0] for note in bars[number].notes if note.tones]
                assert not [tone for tone in tones if tone.finger == 0 and of_key.degree(tone.pitch.letter) == 7]
