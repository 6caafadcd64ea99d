"""Kinds of misprint other than slips of single digits, planted in the MusicXML of a fingered part, one at a time.

The kinds are invented, after slips as proof-readers meet them (common practice): marks at the wrong note, signs that
mean nothing, words and strings that contradict the digits, chords, ties and like bars.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from copy import deepcopy
from random import Random

from lxml import etree
from lxml.etree import SubElement, _Element

from rules import INSTRUMENTS

_LETTERS = "CDEFGAB"
_SEMITONES = dict(zip(_LETTERS, (0, 2, 4, 5, 7, 9, 11), strict=True))
_OPEN = frozenset(pitch.midi for instrument in INSTRUMENTS.values() for pitch in instrument.open_strings)


class UnsuitablePartError(Exception):
    """The part has no place for this kind of misprint."""


class _Page:
    """The notes of one part, to be spoilt."""

    def __init__(self, text: bytes, part: str, random: Random) -> None:
        self.root = etree.fromstring(text)
        self.random = random
        found = self.root.find(f"part[@id='{part}']")
        if found is None:
            raise UnsuitablePartError
        self.part = found

    def notes(self, digits: int | None = 1) -> list[_Element]:
        """Single notes (neither grace nor in a chord) with so many digits; None for any number."""
        return [
            note
            for note in self.part.iter("note")
            if _is_single(note) and (digits is None or len(note.findall(".//fingering")) == digits)
        ]

    def chosen(self, notes: list[_Element]) -> _Element:
        if not notes:
            raise UnsuitablePartError
        return self.random.choice(notes)

    def stopped(self) -> list[_Element]:
        return [note for note in self.notes() if _digit(note) in {"1", "2", "3", "4"}]

    def text(self) -> bytes:
        return etree.tostring(self.root, xml_declaration=True, encoding="UTF-8")


def _is_single(note: _Element) -> bool:
    after = note.getnext()
    return (
        note.find("pitch") is not None
        and note.find("grace") is None
        and note.find("cue") is None
        and note.find("chord") is None
        and (after is None or after.find("chord") is None)
        and not any(tie.get("type") == "stop" for tie in note.iter("tie"))
    )


def _digit(note: _Element) -> str:
    return note.findtext(".//fingering", "")


def _midi(note: _Element) -> int:
    pitch = note.find("pitch")
    assert pitch is not None
    alter = int(float(pitch.findtext("alter", "0")))
    return _SEMITONES[pitch.findtext("step", "C")] + alter + 12 * (int(pitch.findtext("octave", "4")) + 1)


def _set_digit(note: _Element, digit: str) -> None:
    fingering = note.find(".//fingering")
    assert fingering is not None
    fingering.text = digit


def _technical(note: _Element) -> _Element:
    notations = note.find("notations")
    if notations is None:
        notations = SubElement(note, "notations")
    found = notations.find("technical")
    return SubElement(notations, "technical") if found is None else found


def _add(note: _Element, tag: str, text: str = "") -> _Element:
    child = SubElement(_technical(note), tag)
    child.text = text or None
    return child


def _say(note: _Element, words: str) -> None:
    direction = etree.fromstring(
        f'<direction placement="above"><direction-type><words>{words}</words></direction-type></direction>'
    )
    note.addprevious(direction)


def _move_letters(note: _Element, letters: int) -> None:
    pitch = note.find("pitch")
    assert pitch is not None
    step, octave = pitch.find("step"), pitch.find("octave")
    assert step is not None
    assert octave is not None
    place = _LETTERS.index(step.text or "C") + 7 * int(octave.text or "4") + letters
    step.text, octave.text = _LETTERS[place % 7], str(place // 7)


# -- marks on one note -------------------------------------------------------------------------------------------------


def _on_a_note(spoil: Callable[[_Element], None], fits: Callable[[_Element], bool] = lambda note: True) -> _Spoil:
    def plant(page: _Page) -> None:
        spoil(page.chosen([note for note in page.stopped() if fits(note)]))

    return plant


_Spoil = Callable[[_Page], None]


def _two_digits(note: _Element) -> None:
    _add(note, "fingering", "1" if _digit(note) != "1" else "3")


def _natural_harmonic(note: _Element) -> None:
    SubElement(_add(note, "harmonic"), "natural")


def _has_no_node(note: _Element) -> bool:
    partials = {12, 19, 24, 28, 31, 34, 36, 5, 7, 4, 9, 3, 16}
    return not any(_midi(note) - pitch in partials for pitch in _OPEN)


def _string_above(page: _Page) -> None:
    """The number of the highest string on a note below it."""
    highest = max(_OPEN) if page.part.findtext(".//clef/sign") == "G" else 69
    _add(page.chosen([note for note in page.stopped() if _midi(note) < highest]), "string", "1")


def _string_beside(page: _Page) -> None:
    """The number of a string on which the note lies, but under no such finger in any neighbouring hand."""
    open_pitches = [76, 69, 62, 55] if page.part.findtext(".//clef/sign") == "G" else [69, 62, 55, 48]
    places = [
        (note, number)
        for note in page.stopped()
        for number, pitch in enumerate(open_pitches, start=1)
        if pitch + 8 < _midi(note) < pitch + 16 and _digit(note) in "12"
    ]
    if not places:
        raise UnsuitablePartError
    note, number = page.random.choice(places)
    _add(note, "string", str(number))


def _nought(page: _Page) -> None:
    _set_digit(page.chosen([note for note in page.stopped() if _midi(note) not in _OPEN]), "0")


def _finger_on_a_rest(page: _Page) -> None:
    _add(page.chosen([note for note in page.part.iter("note") if note.find("rest") is not None]), "fingering", "2")


def _another_digit_on_a_tied_note(page: _Page) -> None:
    pairs = []
    for note in page.stopped():
        after = note.getnext()
        starts = any(tie.get("type") == "start" for tie in note.iter("tie"))
        if starts and after is not None and any(tie.get("type") == "stop" for tie in after.iter("tie")):
            pairs.append(after)
    note = page.chosen(pairs)
    before = note.getprevious()
    assert before is not None
    _add(note, "fingering", "1" if _digit(before) in "234" else "3")


# -- pitches under digits that stay ------------------------------------------------------------------------------------


def _a_third_too_high(note: _Element) -> None:
    _move_letters(note, 2)


def _an_octave_too_low(page: _Page) -> None:
    lowest = 55 if page.part.findtext(".//clef/sign") == "G" else 48
    _move_letters(page.chosen([note for note in page.stopped() if _midi(note) - 12 < lowest]), -7)


def _an_octave_too_high(page: _Page) -> None:
    _move_letters(page.chosen([note for note in page.stopped() if _midi(note) < 72]), 7)


# -- several notes -----------------------------------------------------------------------------------------------------


def _digits_one_note_late(page: _Page) -> None:
    """The digits of a run of six notes stand one note too far to the right."""
    notes = page.notes()
    runs = [notes[at : at + 6] for at in range(len(notes) - 6)]
    runs = [run for run in runs if len({_digit(note) for note in run}) > 2 and len({_midi(note) for note in run}) > 4]
    if not runs:
        raise UnsuitablePartError
    run = page.random.choice(runs)
    digits = [_digit(note) for note in run]
    for note, digit in zip(run[1:], digits, strict=False):
        _set_digit(note, digit)


def _chords(page: _Page) -> Iterator[tuple[_Element, _Element]]:
    for note in page.part.iter("note"):
        after = note.getnext()
        if after is None or after.find("chord") is None or note.find("chord") is not None:
            continue
        third = after.getnext()
        digits = _digit(note), _digit(after)
        if (third is None or third.find("chord") is None) and set(digits) <= {"1", "2", "3", "4"} and all(digits):
            yield note, after


def _chord(page: _Page) -> tuple[_Element, _Element]:
    chords = [pair for pair in _chords(page) if _digit(pair[0]) != _digit(pair[1])]
    if not chords:
        raise UnsuitablePartError
    return page.random.choice(chords)


def _exchanged_in_a_chord(page: _Page) -> None:
    low, high = _chord(page)
    one, other = _digit(low), _digit(high)
    _set_digit(low, other)
    _set_digit(high, one)


def _one_finger_twice_in_a_chord(page: _Page) -> None:
    low, high = _chord(page)
    _set_digit(high, _digit(low))


def _both_notes_on_one_string(page: _Page) -> None:
    for note in _chord(page):
        for string in note.findall(".//string"):
            string.getparent().remove(string)  # type: ignore[union-attr]
        _add(note, "string", "2")


def _a_bar_again_with_another_digit(page: _Page) -> None:
    measures = [
        measure
        for measure in page.part.iter("measure")
        if len(fingered := [note for note in measure.iter("note") if _digit(note) in {"1", "2", "3"}]) >= 4
        and len(list(measure.iter("note"))) == len(measure.findall(".//fingering"))
        and all(_is_single(note) for note in fingered)
        and measure.find("barline") is None
        and measure.find("attributes") is None
    ]
    measure = page.chosen(measures)
    again = deepcopy(measure)
    measure.addnext(again)
    note = page.random.choice([note for note in again.iter("note") if _digit(note) in {"1", "2", "3"}])
    _set_digit(note, str(int(_digit(note)) + 1))


def _slide_to_another_string(page: _Page) -> None:
    pairs = []
    for note in page.stopped():
        after = note.getnext()
        if after is not None and after.tag == "note" and _is_single(after) and abs(_midi(after) - _midi(note)) > 40:
            pairs.append(note)
        elif after is not None and after.tag == "note" and _is_single(after) and _digit(after) in {"1", "2", "3", "4"}:
            low, high = sorted((_midi(note), _midi(after)))
            if low < min(_OPEN & set(range(55, 56))) + 7 and high > low + 9:
                pairs.append(note)
    note = page.chosen(pairs)
    after = note.getnext()
    assert after is not None
    for each, kind, string in ((note, "start", "4"), (after, "stop", "2")):
        for old in each.findall(".//string"):
            old.getparent().remove(old)  # type: ignore[union-attr]
        _add(each, "string", string)
        notations = each.find("notations")
        assert notations is not None
        SubElement(notations, "slide", type=kind, number="1")


# -- words -------------------------------------------------------------------------------------------------------------


def _words(words: str) -> _Spoil:
    return _on_a_note(lambda note: _say(note, words))


def _position_of_another_hand(page: _Page) -> None:
    """The word for second position over three digits that stand in first."""
    notes = page.notes()
    at = [
        number
        for number in range(len(notes) - 3)
        if all(_digit(note) in {"1", "2", "3"} for note in notes[number : number + 3]) and _midi(notes[number]) < 74
    ]
    if not at:
        raise UnsuitablePartError
    _say(notes[page.random.choice(at)], "2nd pos.")


def _highest_string_over_a_low_note(page: _Page) -> None:
    is_violin = page.part.findtext(".//clef/sign") == "G"
    notes = [note for note in page.stopped() if _midi(note) < (76 if is_violin else 69)]
    _say(page.chosen(notes), "sul E" if is_violin else "sul A")


def _set(digit: str) -> _Spoil:
    return _on_a_note(lambda note: _set_digit(note, digit))


_SPOILERS: Mapping[str, _Spoil] = {
    "a nought on a stopped note": _nought,
    "a five": _set("5"),
    "two digits run together": _set("23"),
    "a letter for a digit": _set("z"),
    "a fingering without a digit": _set(""),
    "two digits on one note": _on_a_note(_two_digits),
    "the sign of the open string over a digit": _on_a_note(lambda note: void(_add(note, "open-string"))),
    "a harmonic where there is no node": _on_a_note(_natural_harmonic, _has_no_node),
    "a thumb": _on_a_note(lambda note: void(_add(note, "thumb-position"))),
    "string 7": _on_a_note(lambda note: void(_add(note, "string", "7"))),
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


def _planter(spoil: _Spoil) -> Callable[[bytes, str, Random], bytes]:
    def plant(text: bytes, part: str, random: Random) -> bytes:
        page = _Page(text, part, random)
        spoil(page)
        return page.text()

    return plant


KINDS: Mapping[str, Callable[[bytes, str, Random], bytes]] = {
    name: _planter(spoil) for name, spoil in _SPOILERS.items()
}
"""By name: spoils one place of a part; raises UnsuitablePartError if there is none."""
