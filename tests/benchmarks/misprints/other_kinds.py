"""Kinds of misprint other than slips of single digits, planted in the MusicXML of a fingered part, one at a time.

The kinds are invented, after slips as proof-readers meet them (common practice): marks at the wrong note, signs that
mean nothing, words and strings that contradict the digits, chords, ties and like bars.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from copy import deepcopy
from random import Random

from lxml.etree import SubElement, _Element

from tests.benchmarks.misprints.further_kinds import FURTHER_KINDS
from tests.benchmarks.misprints.spoilt_page import (
    OPEN_PITCHES,
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
from tests.benchmarks.misprints.typesetters_kinds import TYPESETTERS_KINDS

# -- marks on one note -------------------------------------------------------------------------------------------------


def _on_a_note(spoil: Callable[[_Element], None], fits: Callable[[_Element], bool] = lambda note: True) -> Spoil:
    def plant(page: Page) -> None:
        spoil(page.chosen([note for note in page.stopped() if fits(note)]))

    return plant


def _two_digits(note: _Element) -> None:
    add(note, "fingering", "1" if digit(note) != "1" else "3")


def _natural_harmonic(note: _Element) -> None:
    SubElement(add(note, "harmonic"), "natural")


def _has_no_node(note: _Element) -> bool:
    partials = {12, 19, 24, 28, 31, 34, 36, 5, 7, 4, 9, 3, 16}
    return not any(midi(note) - pitch in partials for pitch in OPEN_PITCHES)


def _string_above(page: Page) -> None:
    """The number of the highest string on a note below it."""
    highest = max(OPEN_PITCHES) if page.part.findtext(".//clef/sign") == "G" else 69
    add(page.chosen([note for note in page.stopped() if midi(note) < highest]), "string", "1")


def _string_beside(page: Page) -> None:
    """The number of a string on which the note lies, but under no such finger in any neighbouring hand."""
    open_pitches = [76, 69, 62, 55] if page.part.findtext(".//clef/sign") == "G" else [69, 62, 55, 48]
    places = [
        (note, number)
        for note in page.stopped()
        for number, pitch in enumerate(open_pitches, start=1)
        if pitch + 8 < midi(note) < pitch + 16 and digit(note) in "12"
    ]
    if not places:
        raise UnsuitablePartError
    note, number = page.random.choice(places)
    add(note, "string", str(number))


def _nought(page: Page) -> None:
    set_digit(page.chosen([note for note in page.stopped() if midi(note) not in OPEN_PITCHES]), "0")


def _finger_on_a_rest(page: Page) -> None:
    add(page.chosen([note for note in page.part.iter("note") if note.find("rest") is not None]), "fingering", "2")


def _another_digit_on_a_tied_note(page: Page) -> None:
    pairs = []
    for note in page.stopped():
        after = note.getnext()
        starts = any(tie.get("type") == "start" for tie in note.iter("tie"))
        if starts and after is not None and any(tie.get("type") == "stop" for tie in after.iter("tie")):
            pairs.append(after)
    note = page.chosen(pairs)
    before = note.getprevious()
    assert before is not None
    add(note, "fingering", "1" if digit(before) in "234" else "3")


# -- pitches under digits that stay ------------------------------------------------------------------------------------


def _a_third_too_high(note: _Element) -> None:
    move_letters(note, 2)


def _an_octave_too_low(page: Page) -> None:
    lowest = 55 if page.part.findtext(".//clef/sign") == "G" else 48
    move_letters(page.chosen([note for note in page.stopped() if midi(note) - 12 < lowest]), -7)


def _an_octave_too_high(page: Page) -> None:
    move_letters(page.chosen([note for note in page.stopped() if midi(note) < 72]), 7)


# -- several notes -----------------------------------------------------------------------------------------------------


def _digits_one_note_late(page: Page) -> None:
    """The digits of a run of six notes stand one note too far to the right."""
    notes = page.notes()
    runs = [notes[at : at + 6] for at in range(len(notes) - 6)]
    runs = [run for run in runs if len({digit(note) for note in run}) > 2 and len({midi(note) for note in run}) > 4]
    if not runs:
        raise UnsuitablePartError
    run = page.random.choice(runs)
    digits = [digit(note) for note in run]
    for note, mark in zip(run[1:], digits, strict=False):
        set_digit(note, mark)


def _chords(page: Page) -> Iterator[tuple[_Element, _Element]]:
    for note in page.part.iter("note"):
        after = note.getnext()
        if after is None or after.find("chord") is None or note.find("chord") is not None:
            continue
        third = after.getnext()
        digits = digit(note), digit(after)
        if (third is None or third.find("chord") is None) and set(digits) <= {"1", "2", "3", "4"} and all(digits):
            yield note, after


def _chord(page: Page) -> tuple[_Element, _Element]:
    chords = [pair for pair in _chords(page) if digit(pair[0]) != digit(pair[1])]
    if not chords:
        raise UnsuitablePartError
    return page.random.choice(chords)


def _exchanged_in_a_chord(page: Page) -> None:
    low, high = _chord(page)
    one, other = digit(low), digit(high)
    set_digit(low, other)
    set_digit(high, one)


def _one_finger_twice_in_a_chord(page: Page) -> None:
    low, high = _chord(page)
    set_digit(high, digit(low))


def _both_notes_on_one_string(page: Page) -> None:
    for note in _chord(page):
        for string in note.findall(".//string"):
            string.getparent().remove(string)  # type: ignore[union-attr]
        add(note, "string", "2")


def _a_bar_again_with_another_digit(page: Page) -> None:
    measures = [
        measure
        for measure in page.part.iter("measure")
        if len(fingered := [note for note in measure.iter("note") if digit(note) in {"1", "2", "3"}]) >= 4
        and len(list(measure.iter("note"))) == len(measure.findall(".//fingering"))
        and all(is_single(note) for note in fingered)
        and measure.find("barline") is None
        and measure.find("attributes") is None
    ]
    measure = page.chosen(measures)
    again = deepcopy(measure)
    measure.addnext(again)
    note = page.random.choice([note for note in again.iter("note") if digit(note) in {"1", "2", "3"}])
    set_digit(note, str(int(digit(note)) + 1))


def _slide_to_another_string(page: Page) -> None:
    pairs = []
    for note in page.stopped():
        after = note.getnext()
        if after is not None and after.tag == "note" and is_single(after) and abs(midi(after) - midi(note)) > 40:
            pairs.append(note)
        elif after is not None and after.tag == "note" and is_single(after) and digit(after) in {"1", "2", "3", "4"}:
            low, high = sorted((midi(note), midi(after)))
            if low < min(OPEN_PITCHES & set(range(55, 56))) + 7 and high > low + 9:
                pairs.append(note)
    note = page.chosen(pairs)
    after = note.getnext()
    assert after is not None
    for each, kind, string in ((note, "start", "4"), (after, "stop", "2")):
        for old in each.findall(".//string"):
            old.getparent().remove(old)  # type: ignore[union-attr]
        add(each, "string", string)
        notations = each.find("notations")
        assert notations is not None
        SubElement(notations, "slide", type=kind, number="1")


# -- words -------------------------------------------------------------------------------------------------------------


def _words(words: str) -> Spoil:
    return _on_a_note(lambda note: say(note, words))


def _position_of_another_hand(page: Page) -> None:
    """The word for second position over three digits that stand in first."""
    notes = page.notes()
    at = [
        number
        for number in range(len(notes) - 3)
        if all(digit(note) in {"1", "2", "3"} for note in notes[number : number + 3]) and midi(notes[number]) < 74
    ]
    if not at:
        raise UnsuitablePartError
    say(notes[page.random.choice(at)], "2nd pos.")


def _highest_string_over_a_low_note(page: Page) -> None:
    is_violin = page.part.findtext(".//clef/sign") == "G"
    notes = [note for note in page.stopped() if midi(note) < (76 if is_violin else 69)]
    say(page.chosen(notes), "sul E" if is_violin else "sul A")


def _set(digit: str) -> Spoil:
    return _on_a_note(lambda note: set_digit(note, digit))


_SPOILERS: Mapping[str, Spoil] = {
    "a nought on a stopped note": _nought,
    "a five": _set("5"),
    "two digits run together": _set("23"),
    "a letter for a digit": _set("z"),
    "a fingering without a digit": _set(""),
    "two digits on one note": _on_a_note(_two_digits),
    "the sign of the open string over a digit": _on_a_note(lambda note: void(add(note, "open-string"))),
    "a harmonic where there is no node": _on_a_note(_natural_harmonic, _has_no_node),
    "a thumb": _on_a_note(lambda note: void(add(note, "thumb-position"))),
    "string 7": _on_a_note(lambda note: void(add(note, "string", "7"))),
    "the number of a string that is too high": _string_above,
    "the number of a string far below": _string_beside,
    "a digit on a rest": _finger_on_a_rest,
    "another digit on a tied note": _another_digit_on_a_tied_note,
    "a note a third too high under its digit": _on_a_note(_a_third_too_high),
    "a note an octave too low": _an_octave_too_low,
    "a note an octave too high under its digit": _an_octave_too_high,
    "digits one note late": _digits_one_note_late,
    "digits exchanged in a double stop": _exchanged_in_a_chord,
    "one finger twice in a double stop": _one_finger_twice_in_a_chord,
    "both notes of a double stop on one string": _both_notes_on_one_string,
    "a bar again with another digit": _a_bar_again_with_another_digit,
    "a slide to another string": _slide_to_another_string,
    "the position of another hand in words": _position_of_another_hand,
    "a string in words on which the note is too low": _highest_string_over_a_low_note,
    "a string in words that is none": _words("sul H"),
    "a slip in the word for position": _words("3rd postion"),
    "a position that no fingerboard has": _words("31st pos."),
    "a slip in sul": _words("slu G"),
    "a digit among the words": _words("4"),
}


def void(_element: object) -> None:
    """Take a value that is not needed."""


def planter(spoil: Spoil) -> Callable[[bytes, str, Random], bytes]:
    """Return what spoils one place of a part, given as MusicXML and its id."""

    def plant(text: bytes, part: str, random: Random) -> bytes:
        page = Page(text, part, random)
        spoil(page)
        return page.text()

    return plant


Plants = Mapping[str, Callable[[bytes, str, Random], bytes]]
KINDS: Plants = {name: planter(spoil) for name, spoil in _SPOILERS.items()}
"""By name: spoils one place of a part; raises UnsuitablePartError if there is none."""
FURTHER: Plants = {name: planter(spoil) for name, spoil in FURTHER_KINDS.items()}
"""The same for the kinds that were invented after the rules."""
TYPESETTERS: Plants = {name: planter(spoil) for name, spoil in TYPESETTERS_KINDS.items()}
"""The same for what typesetters do."""
