"""Ten further kinds of misprints, of words and whole bars, invented after the rules were written.

As proof-readers meet them (common practice): a line of digits that slips by a bar, notes copied in another clef, a word
at the wrong note.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from itertools import pairwise

from lxml.etree import _Element

from tests.benchmarks.misprints.spoilt_page import (
    Page,
    Spoil,
    UnsuitablePartError,
    add,
    digit,
    is_single,
    midi,
    move_letters,
    set_digit,
)

_POSITION = re.compile(r"(\d+)(st|nd|rd|th) pos\.")
_ENDINGS = {"1": "1st", "2": "2nd", "3": "3rd"}
_FINGERS = frozenset("1234")


def bars(page: Page, fits: frozenset[str] = _FINGERS | {"0"}, least: int = 4) -> Iterator[list[_Element]]:
    """The notes of every bar that has only single notes, each with one of these digits."""
    for measure in page.part.iter("measure"):
        notes = [note for note in measure.iter("note") if note.find("rest") is None]
        if len(notes) >= least and all(is_single(note) and digit(note) in fits for note in notes):
            yield notes


def _one_of(page: Page, bars: list[list[_Element]]) -> list[_Element]:
    if not bars:
        raise UnsuitablePartError
    return page.random.choice(bars)


def positions_in_words(page: Page) -> list[_Element]:
    return [words for words in page.part.iter("words") if _POSITION.fullmatch((words.text or "").strip())]


def a_position_word(page: Page, *, home: bool) -> _Element:
    return page.chosen([words for words in positions_in_words(page) if (words.text or "").startswith("1st") is home])


def direction_of(words: _Element) -> _Element:
    direction = words.getparent().getparent()  # type: ignore[union-attr]
    assert direction is not None
    return direction


def _position_one_too_high(page: Page) -> None:
    words = a_position_word(page, home=False)
    number = str(int(re.sub(r"\D", "", words.text or "")) + 1)
    words.text = f"{_ENDINGS.get(number, number + 'th')} pos."


def _position_three_notes_late(page: Page) -> None:
    direction = direction_of(a_position_word(page, home=False))
    later = [note for note in direction.itersiblings("note") if is_single(note)]
    if len(later) < 4:
        raise UnsuitablePartError
    later[3].addprevious(direction)


def _home_word_missing(page: Page) -> None:
    direction = direction_of(a_position_word(page, home=True))
    parent = direction.getparent()
    assert parent is not None
    parent.remove(direction)


def _neighbours_exchanged(page: Page) -> None:
    """Two notes in a row stand in each other's place, and the digits stay."""
    pairs = [
        pair
        for bar in bars(page, _FINGERS, 2)
        for pair in pairwise(bar)
        if 2 < abs(midi(pair[0]) - midi(pair[1])) < 12 and digit(pair[0]) != digit(pair[1])
    ]
    one, other = page.random.choice(pairs) if pairs else (None, None)
    if one is None or other is None:
        raise UnsuitablePartError
    first, second = one.find("pitch"), other.find("pitch")
    assert first is not None
    assert second is not None
    one.replace(first, second)
    other.insert(0, first)


def _digits_one_too_high(page: Page) -> None:
    """All digits of a bar are one too high."""
    for note in _one_of(page, list(bars(page, frozenset("123")))):
        set_digit(note, str(int(digit(note)) + 1))


def _digits_of_the_bar_before(page: Page) -> None:
    """The digits of a bar stand in the bar after it as well."""
    pairs = [
        [*before, *after]
        for before, after in pairwise(bars(page))
        if len(before) == len(after) and sum(digit(a) != digit(b) for a, b in zip(before, after, strict=True)) > 1
    ]
    notes = _one_of(page, pairs)
    half = len(notes) // 2
    for before, after in zip(notes[:half], notes[half:], strict=True):
        set_digit(after, digit(before))


def _bar_in_another_clef(page: Page) -> None:
    """The notes of a bar stand a third too high, and the digits stay."""
    for note in _one_of(page, list(bars(page, _FINGERS))):
        move_letters(note, 2)


def _strings_exchanged_in_a_double_stop(page: Page) -> None:
    pairs = []
    for note in page.part.iter("note"):
        after = note.getnext()
        if after is None or after.find("chord") is None or note.find("chord") is not None:
            continue
        if midi(after) - midi(note) > 2 and note.find("pitch") is not None:
            pairs.append((note, after))
    low, high = page.random.choice(pairs) if pairs else (None, None)
    if low is None or high is None:
        raise UnsuitablePartError
    for note, string in ((low, "1"), (high, "2")):
        for old in note.findall(".//string"):
            old.getparent().remove(old)  # type: ignore[union-attr]
        add(note, "string", string)


def _nought_one_note_late(page: Page) -> None:
    pairs = [pair for bar in bars(page) for pair in pairwise(bar) if digit(pair[0]) == "0" != digit(pair[1])]
    one, other = page.random.choice(pairs) if pairs else (None, None)
    if one is None or other is None:
        raise UnsuitablePartError
    set_digit(one, digit(other))
    set_digit(other, "0")


def _digits_backwards(page: Page) -> None:
    """The digits of four notes stand in reverse order."""
    runs = [bar[at : at + 4] for bar in bars(page) for at in range(len(bar) - 3)]
    runs = [run for run in runs if len({digit(note) for note in run}) > 2 and len({midi(note) for note in run}) > 3]
    run = _one_of(page, runs)
    for note, mark in zip(run, [digit(note) for note in reversed(run)], strict=True):
        set_digit(note, mark)


FURTHER_KINDS: Mapping[str, Spoil] = {
    "the number of a position one too high": _position_one_too_high,
    "a position three notes late": _position_three_notes_late,
    "the word for going home missing": _home_word_missing,
    "two notes exchanged under digits that stay": _neighbours_exchanged,
    "all digits of a bar one too high": _digits_one_too_high,
    "the digits of the bar before": _digits_of_the_bar_before,
    "a bar as in another clef under digits that stay": _bar_in_another_clef,
    "the strings exchanged in a double stop": _strings_exchanged_in_a_double_stop,
    "the nought of an open string one note late": _nought_one_note_late,
    "the digits of four notes backwards": _digits_backwards,
}
