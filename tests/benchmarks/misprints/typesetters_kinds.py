"""Misprints as typesetters make them: note heads on the next line, marks set twice or a note early,
misread handwriting.

Invented from the trade (common practice) before a rule was changed for any of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from copy import deepcopy
from itertools import pairwise
from typing import TypeVar

from lxml.etree import _Element

from tests.benchmarks.misprints.further_kinds import a_position_word, bars, direction_of, positions_in_words
from tests.benchmarks.misprints.spoilt_page import (
    Page,
    Spoil,
    UnsuitablePartError,
    add,
    digit,
    is_single,
    midi,
    move_letters,
    say,
    set_digit,
)

_Notes = TypeVar("_Notes")
_FINGERS = frozenset("1234")
_NUMERALS = ("I", "II", "III", "IV")


def _one_of(page: Page, things: Sequence[_Notes]) -> _Notes:
    if not things:
        raise UnsuitablePartError
    return page.random.choice(things)


def _runs(page: Page, length: int) -> Iterator[list[_Element]]:
    """So many single fingered notes in a row, without a rest or a bar line between them."""
    for bar in bars(page, least=length):
        for at in range(len(bar) - length + 1):
            yield bar[at : at + length]


# -- note heads --------------------------------------------------------------------------------------------------------


def _on_the_next_line(letters: int) -> Spoil:
    def plant(page: Page) -> None:
        move_letters(page.chosen(page.stopped()), letters)

    return plant


def _note_set_twice(page: Page) -> None:
    """A note stands where the one before it stands, and its digit stays."""
    one, other = _one_of(
        page, [(a, b) for a, b in _runs(page, 2) if midi(a) != midi(b) and digit(a) != digit(b) and digit(b) != "0"]
    )
    pitch, wrong = one.find("pitch"), other.find("pitch")
    assert pitch is not None
    assert wrong is not None
    other.replace(wrong, deepcopy(pitch))


def _octave_sign_lost(page: Page) -> None:
    """The notes of a bar stand an octave too low."""
    for note in _one_of(page, [bar for bar in bars(page, _FINGERS) if min(map(midi, bar)) >= 74]):
        move_letters(note, -7)


# -- digits ------------------------------------------------------------------------------------------------------------


def _digit_set_twice(page: Page) -> None:
    one, other = _one_of(
        page, [(a, b) for a, b in _runs(page, 2) if midi(a) != midi(b) and digit(a) != digit(b) and digit(a) != "0"]
    )
    set_digit(other, digit(one))


def _digits_one_note_early(page: Page) -> None:
    """One digit of a bar was left out, and those after it moved up; the last stands twice."""
    found = [run for run in _runs(page, 6) if len(set(map(digit, run))) > 2 and len(set(map(midi, run))) > 4]
    run = _one_of(page, found)
    for note, mark in zip(run, [digit(note) for note in run[1:]], strict=False):
        set_digit(note, mark)


def _one_and_four(page: Page) -> None:
    """A hastily written four was read as a one, or a one as a four."""
    note = page.chosen([note for note in page.stopped() if digit(note) in "14"])
    set_digit(note, "1" if digit(note) == "4" else "4")


def _exchanged_across_a_note(page: Page) -> None:
    """The digits of the first and last of three notes are exchanged."""
    found = [run for run in _runs(page, 3) if digit(run[0]) != digit(run[2]) and midi(run[0]) != midi(run[2])]
    one, _, other = _one_of(page, [run for run in found if {digit(run[0]), digit(run[2])} <= _FINGERS])
    before = digit(one)
    set_digit(one, digit(other))
    set_digit(other, before)


def _pairs_exchanged(page: Page) -> None:
    """The digits of two notes stand over the next two, and theirs over the first two."""
    found = [run for run in _runs(page, 4) if [*map(digit, run[:2])] != [*map(digit, run[2:])]]
    run = _one_of(page, [run for run in found if len(set(map(midi, run))) == 4])
    marks = [digit(note) for note in run]
    for note, mark in zip(run, marks[2:] + marks[:2], strict=True):
        set_digit(note, mark)


def _both_digits_over_the_first(page: Page) -> None:
    one, other = _one_of(page, [(a, b) for a, b in _runs(page, 2) if digit(a) != digit(b) and midi(a) != midi(b)])
    add(one, "fingering", digit(other))
    for fingering in other.findall(".//fingering"):
        fingering.getparent().remove(fingering)  # type: ignore[union-attr]


def _both_digits_of_a_double_stop_at_one_note(page: Page) -> None:
    found = []
    for note in page.part.iter("note"):
        after = note.getnext()
        if after is not None and after.find("chord") is not None and note.find("chord") is None:
            third = after.getnext()
            alone = third is None or third.find("chord") is None
            if alone and {digit(note), digit(after)} <= _FINGERS and digit(note) != digit(after):
                found.append((note, after))
    low, high = _one_of(page, found)
    set_digit(low, digit(high))


def _finger_for_an_open_string(page: Page) -> None:
    """The nought of an open string was read as the digit of the note after it."""
    found = [(a, b) for a, b in _runs(page, 2) if digit(a) == "0" and digit(b) in _FINGERS]
    one, other = _one_of(page, found)
    set_digit(one, digit(other))


def _letter_for_a_one(page: Page) -> None:
    set_digit(page.chosen([note for note in page.stopped() if digit(note) == "1"]), "l")


# -- strings and words -------------------------------------------------------------------------------------------------


def _strings(page: Page) -> tuple[int, int, int, int]:
    return (76, 69, 62, 55) if page.part.findtext(".//clef/sign") == "G" else (69, 62, 55, 48)


def _numeral_of_the_next_string(page: Page) -> None:
    """The numeral of a string is one too high; the note lies there as well."""
    found = []
    for note in page.stopped():
        on = [number for number, pitch in enumerate(_strings(page), start=1) if pitch <= midi(note)]
        if on and on[0] < len(_NUMERALS) and midi(note) < 80:
            found.append((note, on[0]))
    note, number = _one_of(page, found)
    for old in note.findall(".//string"):
        old.getparent().remove(old)  # type: ignore[union-attr]
    add(note, "string", str(number + 1))


def _numeral_backwards(page: Page) -> None:
    """VI for IV."""
    say(page.chosen([note for note in page.stopped() if midi(note) < _strings(page)[2]]), "VI")


def _numeral_one_note_late(page: Page) -> None:
    """The numeral of a string stands at the next note, on another string."""
    found = []
    for words in page.part.iter("words"):
        if (words.text or "").strip() in _NUMERALS:
            after = [note for note in direction_of(words).itersiblings("note") if is_single(note)]
            if len(after) > 1 and abs(midi(after[0]) - midi(after[1])) > 4:
                found.append((words, after[1]))
    words, note = _one_of(page, found)
    note.addprevious(direction_of(words))


def _home_with_the_number_before(page: Page) -> None:
    """The word for going home names the position that is left."""
    found = [
        (before, words)
        for before, words in pairwise(positions_in_words(page))
        if (words.text or "").startswith("1st") and not (before.text or "").startswith("1st")
    ]
    before, words = _one_of(page, found)
    words.text = before.text


def _position_three_notes_early(page: Page) -> None:
    direction = direction_of(a_position_word(page, home=False))
    before = [note for note in direction.itersiblings("note", preceding=True) if is_single(note)]
    if len(before) < 3:
        raise UnsuitablePartError
    before[2].addprevious(direction)


TYPESETTERS_KINDS: Mapping[str, Spoil] = {
    "a note head on the next line above": _on_the_next_line(1),
    "a note head on the next line below": _on_the_next_line(-1),
    "a note set twice under digits that stay": _note_set_twice,
    "a bar without its octave sign": _octave_sign_lost,
    "a digit set twice": _digit_set_twice,
    "digits one note early": _digits_one_note_early,
    "a one for a four or a four for a one": _one_and_four,
    "digits exchanged across a note": _exchanged_across_a_note,
    "two pairs of digits exchanged": _pairs_exchanged,
    "both digits over the first of two notes": _both_digits_over_the_first,
    "the same digit twice in a double stop": _both_digits_of_a_double_stop_at_one_note,
    "a finger for an open string": _finger_for_an_open_string,
    "the letter l for a one": _letter_for_a_one,
    "the numeral of the next string": _numeral_of_the_next_string,
    "VI for IV": _numeral_backwards,
    "a numeral one note late": _numeral_one_note_late,
    "home with the number of the position before": _home_with_the_number_before,
    "a position three notes early": _position_three_notes_early,
}
