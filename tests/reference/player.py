"""A player who knows nothing but the page: which finger, string and position the printed marks lead to.

Source: how fingered editions of string parts are read (common practice), stated here from the conventions alone:

1. The hand begins in first position and stays until a word or a digit says otherwise; an open string moves nothing.
2. A position word holds from its note on. The word for a string, like a string number, holds for its note.
3. Without digit and string: in half and first position an open string where the pitch is one, written exactly so;
   otherwise the finger of the letter in the present position, on the string where the letter lies. An accidental
   bends the finger, it does not change it. But nobody guesses the raised letter of an open string in first position
   (D sharp: low first finger, or high fourth on the string below?), a natural harmonic, or a chord of which two notes
   would lie on one string. A harmonic that is touched elsewhere than where it is written needs digit and string.
4. A digit is that finger in the present position. It may take the letter of its neighbour where it lies in its own
   reach (F flat under the first finger); the fourth may reach a letter up, the first a letter back. Any other digit
   says that the hand has moved: to the nearest position that fits, the lower of two.
5. The same note again, in the same bar, is taken as before.

Decisions where usage leaves it open: all digits of a chord are read together, in one position, on neighbouring strings;
notes of two voices that start together are a chord; a note that is held over does not change how others are read.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import log2

from tests.reference.printed_page import Moment, Page, Sign

Open = tuple[tuple[int, float], ...]
"""The open strings from the highest: letter (from C0) and MIDI key."""

_PLACES = {1: (1, 2), 2: (3, 4), 3: (5, 6), 4: (6, 7), 5: (8, 9), 6: (10, 11), 7: (11, 12, 13)}
"""Semitones above the open string at which the finger for each letter above it stands, low, plain or high."""
_NODE_LETTERS = {3: 2, 4: 2, 5: 3, 7: 4, 9: 5, 12: 7, 16: 9, 19: 11, 24: 14, 28: 16, 31: 18, 36: 21}
_HIGHEST = 18


@dataclass(frozen=True)
class Taken:
    """How one note is taken; `position` is None for an open string."""

    string: int
    finger: int
    position: int | None


@dataclass(frozen=True)
class Memory:
    """Where the hand is, and what was played last: its pitches, its bar and how it was taken."""

    position: int = 1
    pitches: tuple[tuple[int, float], ...] = ()
    bar: int = -1
    taken: tuple[Taken, ...] | None = None


@dataclass(frozen=True)
class _Way:
    """One way to take a note in a position: the lower the rank, the plainer."""

    rank: int
    string: int
    finger: int


def read_through(page: Page, strings: Open) -> dict[int, Taken | None]:
    """Return how a player takes every note, by its order in the document; None where nobody could tell."""
    found: dict[int, Taken | None] = {}
    for moment, _, after in reading(page.moments, strings):
        for index, sign in enumerate(moment.signs):
            found[sign.order] = after.taken[index] if after.taken else None
    return found


def reading(moments: Sequence[Moment], strings: Open) -> Iterator[tuple[Moment, Memory, Memory]]:
    """Read on from moment to moment: each with the memory before and after it."""
    memory = Memory()
    for moment in moments:
        after = take(moment, memory, strings)
        yield moment, memory, after
        memory = after


def take(moment: Moment, memory: Memory, strings: Open) -> Memory:
    """Take what starts together, as the marks say, and remember it."""
    pitches = tuple((sign.letter, sign.key) for sign in moment.signs)
    here = replace(memory, pitches=pitches, bar=moment.bar)
    marked = any(sign.digits or sign.strings for sign in moment.signs) or moment.string or moment.position is not None
    if not marked and pitches == memory.pitches and moment.bar == memory.bar and memory.taken:
        return here
    present = memory.position if moment.position is None else moment.position
    places = [present]
    if moment.position is None and any(digit > 0 for sign in moment.signs for digit in sign.digits):
        places += sorted((p for p in range(_HIGHEST + 1) if p != present), key=lambda p: (abs(p - present), p))
    for place in places:
        ways = _together(moment, place, strings, stayed=place == present, told=moment.position is not None)
        if ways is not None:
            taken = tuple(Taken(way.string, way.finger, place if way.finger else None) for way in ways)
            stopped = any(way.finger for way in ways)
            return replace(here, position=place if stopped or moment.position is not None else present, taken=taken)
    return replace(here, position=present, taken=None)


def _together(moment: Moment, place: int, strings: Open, stayed: bool, told: bool) -> tuple[_Way, ...] | None:
    """The plainest way to take all the notes in one position; None if there is none."""
    choices = []
    for sign in moment.signs:
        ways = list(_ways(sign, _string_of(moment, sign, strings), place, strings, told))
        choices.append([way for way in ways if stayed or way.rank == 0])
    fitting = [ways for ways in product(*choices) if _neighbours([way.string for way in ways])]
    return min(fitting, key=lambda ways: sum(way.rank for way in ways), default=None)


def _neighbours(strings: Sequence[int]) -> bool:
    return len(set(strings)) == len(strings) == max(strings) - min(strings) + 1


def _string_of(moment: Moment, sign: Sign, strings: Open) -> int | None:
    if sign.strings:
        return sign.strings[0]
    if moment.string is None or len(moment.signs) > 1:
        return None
    if isinstance(moment.string, int):
        return moment.string
    letter = "CDEFGAB".index(moment.string)
    return next((number for number, (open_letter, _) in enumerate(strings, 1) if open_letter % 7 == letter), None)


def _ways(sign: Sign, string: int | None, place: int, strings: Open, told: bool) -> Iterator[_Way]:
    for number in [string] if string else range(1, len(strings) + 1):
        if number > len(strings):
            continue
        letters, keys = sign.letter - strings[number - 1][0], sign.key - strings[number - 1][1]
        if sign.digits:
            places = _nodes(keys) if sign.harmonic and string else []
            for at_letters, at_keys in places or [(letters, keys)]:
                ranked = ((_rank(digit, at_letters, at_keys, place, told), digit) for digit in sign.digits)
                yield from (_Way(rank, number, digit) for rank, digit in ranked if rank is not None)
        elif not sign.harmonic:
            finger = _guess(letters, keys, place, () if string else strings, sign)
            if finger is not None:
                yield _Way(0, number, finger)


def _guess(letters: int, keys: float, place: int, open_strings: Open, sign: Sign) -> int | None:
    """The finger that nobody has to be told on the string that lies so many letters and semitones below; or None.

    `open_strings` are those that the player thinks of: none where the string is printed.
    """
    if place <= 1 and letters == keys == 0:
        return 0
    if place <= 1 and (sign.letter, sign.key) in open_strings:
        return None
    if place == 1 and any(sign.letter == letter and sign.key > key for letter, key in open_strings):
        return None
    finger = letters - place + 1
    return finger if 1 <= finger <= 4 and keys > 0 else None


def _nodes(keys: float) -> list[tuple[int, float]]:
    """Where a string is touched so that it sounds so many semitones above the open string (acoustics)."""
    partial = next((number for number in (2, 3, 4, 5, 6, 8) if round(12 * log2(number)) == keys), 1)
    nodes = {round(12 * log2(partial / part)) for part in range(1, partial)}
    return [(_NODE_LETTERS[node], node) for node in sorted(nodes) if node in _NODE_LETTERS]


def _rank(digit: int, letters: int, keys: float, place: int, told: bool) -> int | None:
    """How plain a digit is in a position: 0 its own letter, 1 a neighbour's or a reach, 2 only as told; else None."""
    if digit == 0:
        return 0 if keys == 0 else None
    if keys <= 0:
        return None
    own = letters - digit + 1
    if own == place:
        return 0
    reach = (digit == 4 and own == place + 1) or (digit == 1 and own == place - 1)
    octaves, step = divmod(place - 1 + digit, 7)
    octaves, step = (octaves, step) if step else (octaves - 1, 7)
    places = _PLACES[step]
    borrowed = abs(own - place) == 1 and places[0] <= keys - 12 * octaves <= places[-1]
    if reach or borrowed:
        return 1
    return 2 if told and abs(own - place) <= 2 else None
