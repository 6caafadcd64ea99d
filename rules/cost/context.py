"""When something is asked of the hand: time, bow, beat, line and character at every event, as numbers between 0 and 1.

Each circumstance scales the terms of `effort` that name it. All are rounded to sixteenths, so that sums stay exact.
Times are in seconds: a quarter note at 60 is 1.0.

What drives character: how long the notes around are in seconds (four fifths) and how many of them are slurred (one
fifth) say how much a place *sings*; words such as *cantabile*, *espressivo* or *dolce* push up, *brillante*, *spiccato*
or *staccato* push down, from where they stand. Long notes around make a passage *slow*, short ones *quick*. A character
asked for overrides what is read: `SINGING` makes every place sing and slow, `BRILLIANT` none, and every place quick.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from ..music.instrument import Pitch
from ..music.passage import UNBOUND_REST, Note, Passage, Technique
from .tone import WITH_THE_BOW, WITHOUT_TONE, in_force, lean_of_words, plucked

Array = NDArray[np.float64]

TRILLED = frozenset({Technique.TRILL, Technique.MORDENT, Technique.TURN})
GLIDING = frozenset({Technique.GLISSANDO})
SHORTEST_PEDAL = 3
"""Notes of the line that a pedal figure has at least, each between two of the pedal."""
PEDAL_SECONDS = 0.4
MINOR_THIRD = 3
STRING_REACH = 7
"""Semitones above an open string that the fourth finger reaches in first position."""


class Character(StrEnum):
    """How much tone weighs against ease."""

    FROM_THE_PART = "from the part"
    SINGING = "singing"
    BRILLIANT = "brilliant"


def _sixteenths(values: Array) -> Array:
    return np.asarray(np.rint(np.minimum(np.maximum(values, 0.0), 1.0) * 16) / 16)


def _ramp(values: Array, start: float, end: float) -> Array:
    """0 at `start`, 1 at `end`, straight in between."""
    return _sixteenths((values - start) / (end - start))


def _smoothed(values: Array, width: int) -> Array:
    """Mean over `width` events on either side."""
    sums = np.concatenate([[0.0], np.cumsum(values)])
    index = np.arange(len(values))
    low, high = np.maximum(index - width, 0), np.minimum(index + width + 1, len(values))
    return np.asarray((sums[high] - sums[low]) / (high - low))


def _highest_around(values: Array, before: int, after: int) -> Array:
    """The greatest value from `before` events earlier to `after` events later."""
    padded = np.full(len(values) + before + after, -np.inf)
    padded[before : before + len(values)] = values
    found = padded[: len(values)].copy()
    for steps in range(1, before + after + 1):
        np.maximum(found, padded[steps : steps + len(values)], out=found)
    return found


def _highest_in_phrase(passage: Passage, highest: Array) -> Array:
    """The highest note up to three events away, with no rest between."""
    begins = np.array([event.rest >= UNBOUND_REST for event in passage.events])
    begins[0] = False
    apart = np.arange(len(highest)) + 3 * np.cumsum(begins)  # so far apart no phrase sees another
    spread = np.full(int(apart[-1]) + 1, -np.inf)
    spread[apart] = highest
    return np.asarray(_highest_around(spread, 3, 3)[apart])


def _earlier(values: Array, steps: int) -> Array:
    """The value `steps` events earlier (later, if negative); at the ends that of the last event there is."""
    found = np.empty_like(values)
    if steps > 0:
        found[:steps], found[steps:] = values[0], values[:-steps]
    else:
        found[steps:], found[:steps] = values[-1], values[-steps:]
    return found


def singing(passage: Passage, character: Character) -> Array:
    """How much each event sings: long notes in seconds, slurs, and the words of the part (0 to 1)."""
    events = passage.events
    if character is Character.SINGING:
        return np.ones(len(events))
    if character is Character.BRILLIANT:
        return np.zeros(len(events))
    seconds = np.array([event.seconds for event in events], dtype=np.float64)
    slurred = np.array([event.slurred for event in events], dtype=np.float64)
    length = _smoothed(np.log2(np.maximum(seconds, 0.05)), 8)
    value = _ramp(length, np.log2(0.25), np.log2(0.9)) * 0.8 + _smoothed(slurred, 8) * 0.2
    return _sixteenths(value + lean_of_words(passage))


def circumstances(passage: Passage, character: Character = Character.FROM_THE_PART) -> dict[str, Array]:
    """Return every circumstance as an array over the events.

    For moves, the entry at event t tells about the way from event t - 1 to t. What speaks for or against a move counts
    as far as the music is bound: over a rest the hand and the bow are free.
    """
    events = passage.events
    if not events:
        return {name: np.zeros(0) for name in NAMES}
    seconds = np.array([event.seconds for event in events], dtype=np.float64)
    rest = np.array([event.rest for event in events], dtype=np.float64)
    slurred = np.array([event.slurred for event in events], dtype=np.float64)
    strength = np.array([event.strength for event in events], dtype=np.float64)
    trilled = np.array([_is_sounded(event.notes, TRILLED) for event in events], dtype=np.float64)
    highest = np.array([event.notes[-1].pitch.midi if event.notes else 0.0 for event in events], dtype=np.float64)
    found = _of_time(seconds, rest, slurred, strength, character)
    found |= _of_the_line(highest, seconds, slurred, found["bound"])
    found |= _of_the_part(passage, highest)
    found |= {"singing": singing(passage, character), "trilled": trilled, "slurred": slurred}
    found["gliding"] = np.array([_is_sounded(event.notes, GLIDING) for event in events], dtype=np.float64)
    found |= _pedal_figures(highest, seconds, slurred, passage.instrument.open_strings)
    found["demanding part, detached"] = found["demanding part"] * (1 - slurred)
    found |= _of_the_tone(passage, character, seconds, highest, found)
    rounded = _sixteenths(np.array([found[name] for name in NAMES], dtype=np.float64))
    return dict(zip(NAMES, rounded, strict=True))


def _of_the_tone(
    passage: Passage, character: Character, seconds: Array, highest: Array, found: dict[str, Array]
) -> dict[str, Array]:
    """Which held notes are heard for their tone (see `tone`)."""
    slurred, lean = found["slurred"], lean_of_words(passage)
    dry = plucked(passage)
    toneless = np.maximum(dry, in_force(passage, WITHOUT_TONE, WITH_THE_BOW))
    if character is Character.FROM_THE_PART:
        sings = np.maximum(_ramp(_smoothed(slurred, 8), 0.05, 0.3), (lean > 0) * 1.0)
        asked = sings * _ramp(_smoothed(np.log2(np.maximum(seconds, 0.05)), 8), np.log2(0.3), np.log2(0.9))
        if not _is_easy_tune(passage, slurred, highest, lean):
            asked = np.maximum(asked, _ramp(seconds, 1.6, 2.4) / 2)
    else:
        asked = np.full(len(seconds), float(character is Character.SINGING))
    asked = asked * (1 - toneless)
    rings = 1 - dry
    return {
        "long": found["long"] * rings,
        "very long": found["very long"] * rings,
        "slow passage": found["slow passage"] * rings,
        "slow, demanding part": found["slow"] * rings * found["demanding part"],
        "long, for its tone": found["long"] * asked,
        "very long, for its tone": found["very long"] * asked,
        "long, as it comes": found["long"] * rings * (1 - asked),
        "plucked": dry,
        "singing": found["singing"] * rings,
        "singing, as it comes": found["singing"] * (1 - asked),
    }


def _is_easy_tune(passage: Passage, slurred: Array, highest: Array, lean: Array) -> bool:
    """A first tune: within first position, hardly slurred, and no word that asks for a singing tone."""
    top = passage.instrument.open_strings[0].midi + STRING_REACH
    return bool((highest <= top).all() and slurred.mean() <= 0.1 and not (lean > 0).any())


def _is_sounded(notes: Sequence[Note], techniques: frozenset[Technique]) -> bool:
    if len(notes) == 1 and not notes[0].techniques:
        return False
    return any(note.techniques & techniques for note in notes)


def _of_time(seconds: Array, rest: Array, slurred: Array, strength: Array, character: Character) -> dict[str, Array]:
    """How long the notes are, how they are bound, and where they stand in the bar."""
    before = np.concatenate([[1.0], seconds[:-1]])
    bound = 1 - _ramp(rest, 0.0, 0.5)
    both = bound * np.concatenate([[1.0], bound[:-1]])
    around = _smoothed(np.log2(np.maximum(seconds, 0.05)), 6)
    slow = _ramp(around, np.log2(0.3), np.log2(0.8))
    quick = _ramp(-around, -np.log2(0.25), -np.log2(0.12))
    if character is not Character.FROM_THE_PART:
        slow = np.full(len(seconds), float(character is Character.SINGING))
        quick = 1 - slow
    return {
        "always": np.ones(len(seconds)),
        "opening": np.arange(len(seconds)) == 0,
        "ending": np.arange(len(seconds)) == len(seconds) - 1,
        "long": _ramp(seconds, 0.35, 1.2),
        "very long": _ramp(seconds, 1.2, 2.0),
        "brief": _ramp(-seconds, -0.3, -0.12),
        "bound": bound,
        "bound, slurred": bound * slurred,
        "bound on both sides": both,
        "bound on both sides, slurred": both * slurred,
        "bound, fast": bound * _ramp(-before, -0.25, -0.1),
        "bound, off the beat": bound * (strength == 0),
        "bound, on the beat": bound * (strength >= 2),
        "after a long note": bound * _ramp(before, 0.35, 1.2),
        "onto a longer note": bound * (seconds > before * 1.5),
        "slow": slow,
        "slow passage": bound * slow,
        "quick passage": quick,
    }


def _of_the_line(highest: Array, seconds: Array, slurred: Array, bound: Array) -> dict[str, Array]:
    """Where the line comes from and where it goes."""
    before, after = _earlier(highest, 1), _earlier(highest, -1)
    rise, onwards = highest - before, after - highest
    size = np.abs(rise)
    leaping = _smoothed(np.minimum(size, 12.0), 5)
    soon_lowest = np.minimum(np.minimum(after, _earlier(highest, -2)), _earlier(highest, -3))
    prints_slurs = float(slurred.mean() > 0.03)
    of_the_way = {
        "over a leap": size >= 5,
        "over a wide leap": size >= 8,
        "bound, before a leap": np.abs(onwards) >= 5,
        "up and soon back": (rise > 0) & (soon_lowest <= before),
        "leaping passage": _ramp(leaping, 2.5, 5.0),
        "recurring, detached": np.where(_recurring(highest) & (slurred == 0) & (seconds < 0.4), prints_slurs, 0.0),
    }
    broken_chord = (np.minimum(size, np.abs(onwards)) >= 3) & (rise * onwards > 0)
    return {name: bound * value for name, value in of_the_way.items()} | {"within a broken chord": broken_chord}


def _recurring(highest: Array) -> Array:
    """A note that comes again and again while another line moves.

    It recurs two events away, and its neighbour does not; or it recurs more often than its neighbours do.
    """
    at = {steps: _earlier(highest, steps) for steps in (-4, -3, -2, -1, 1, 2, 3, 4)}
    before, after = at[1], at[-1]
    index = np.arange(len(highest))
    back = (at[2] == highest) & (before != highest) & (index >= 2)
    again = (at[-2] == highest) & (after != highest) & (index < len(highest) - 2)
    beside = np.concatenate([[False], again[:-1]]) | np.concatenate([back[1:], [False]])
    apart = (before != highest) & (after != highest)
    own = sum((at[steps] == highest).astype(int) for steps in (-4, -2, 2, 4))
    others = [sum((at[steps] == near).astype(int) for steps in (-3, -1, 1, 3)) for near in (before, after)]
    return np.asarray(((back | again) & ~beside) | (apart & (own >= 2) & (own > np.maximum(*others))))


def _pedal_figures(highest: Array, seconds: Array, slurred: Array, open_strings: Sequence[Pitch]) -> dict[str, Array]:
    """Quick detached notes to and fro between a line and one note that comes back after each of its notes.

    The line lies a minor third or more away from the pedal at least once: nearer by, the two belong on one string. It
    keeps to one side, unless it meets the pedal on the pitch of an open string: then one note is meant to sound open
    and stopped in turn (bariolage). An open string's pitch that comes twice or more in a figure rings there, in the
    pedal or in the line.
    """
    pedal, around, ringing, bariolage = np.zeros((4, len(highest)))
    open_pitches = [pitch.midi for pitch in open_strings]
    reached = 0
    for index in np.flatnonzero(highest[:-4] == highest[2:-2]).tolist():
        if index < reached:
            continue
        stop = index + 2
        while stop < len(highest) and highest[stop] == highest[index]:
            stop += 2
        inside = slice(index, stop - 1)
        line = highest[index + 1 : stop - 2 : 2] - highest[index]
        if len(line) < SHORTEST_PEDAL or len(set(line.tolist())) == 1:
            continue
        if (seconds[inside] >= PEDAL_SECONDS).any() or slurred[index + 1 : stop - 1].any():
            continue
        one_side = bool((line > 0).all() or (line < 0).all())
        meets = bool(highest[index] in open_pitches and (line[1:-1] == 0).any())
        if (one_side or meets) and float(np.abs(line).max()) >= MINOR_THIRD:
            pedal[inside] = 1.0
            bariolage[inside] = float(meets)
            counted = [pitch for pitch in open_pitches if (highest[inside] == pitch).sum() > 1]
            ringing[inside] = np.isin(highest[inside], counted)
            around[inside] = float(bool(counted))
            reached = stop - 1
    return {
        "pedal": pedal,
        "pedal figure with an open string": around,
        "ringing in a pedal figure": ringing,
        "bariolage": bariolage,
    }


def _of_the_part(passage: Passage, highest: Array) -> dict[str, Array]:
    """How high the part and the passage go."""
    top = passage.instrument.open_strings[0].midi + STRING_REACH
    demanding = _ramp(np.array([float((highest > top).mean())]), 0.0, 0.04)[0]
    return {
        "modest part": np.full(len(highest), 1.0 - demanding),
        "demanding part": np.full(len(highest), demanding),
        "passage within first position": _highest_around(highest, 8, 8) <= top,
        "low line": _highest_in_phrase(passage, highest) <= passage.instrument.open_strings[1].midi,
        "high notes ahead": _highest_around(highest, 0, 5) > top,
    }


NAMES = (
    "always",
    "opening",
    "ending",
    "long",
    "very long",
    "long, for its tone",
    "very long, for its tone",
    "long, as it comes",
    "brief",
    "bound",
    "bound, slurred",
    "bound on both sides",
    "bound on both sides, slurred",
    "bound, fast",
    "bound, off the beat",
    "bound, on the beat",
    "bound, before a leap",
    "after a long note",
    "onto a longer note",
    "slow passage",
    "slow, demanding part",
    "quick passage",
    "over a leap",
    "over a wide leap",
    "up and soon back",
    "leaping passage",
    "recurring, detached",
    "modest part",
    "demanding part",
    "demanding part, detached",
    "passage within first position",
    "low line",
    "high notes ahead",
    "within a broken chord",
    "singing",
    "singing, as it comes",
    "trilled",
    "gliding",
    "pedal",
    "pedal figure with an open string",
    "ringing in a pedal figure",
    "bariolage",
    "plucked",
    "slurred",
)
"""Every circumstance that a term may name."""
