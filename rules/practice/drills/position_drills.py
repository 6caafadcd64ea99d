"""Positions as practice: finger patterns, the frame of the hand, crossings, bowings, reaches and harmonics."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from math import ceil

from ...hand.grip import FINGERS, HOME_POSITION
from ...music.instrument import Instrument
from ...music.key import Key
from ...music.metre import Meter, bar_length, unit_length
from ...text import Text, english, joined, listed, set_apart
from ..barring import bars_of, from_down_bow
from ..scale_tones import all_in_frame, is_half_step, is_in_frame, ladder, stop_in_key
from ..sheet import Bow, Exercise, SheetNote, Tone

PATTERN_METER = (4, 4)
HALF_POSITION = 0
_POSITIONS = (
    english("half position"),
    english("first position"),
    english("second position"),
    english("third position"),
    english("fourth position"),
    english("fifth position"),
    english("sixth position"),
    english("seventh position"),
    english("eighth position"),
    english("ninth position"),
    english("tenth position"),
)
_POSITIONS_LEFT = (
    english("half"),
    english("first"),
    english("second"),
    english("third"),
    english("fourth"),
    english("fifth"),
    english("sixth"),
    english("seventh"),
    english("eighth"),
    english("ninth"),
    english("tenth"),
)
"""Names of positions where the word follows later: "first to third position"."""


def place_name(position: int) -> Text:
    """Return the name of a position in words: `third position`."""
    return _POSITIONS[position] if position < len(_POSITIONS) else english("{number}th position", number=position)


def _place_left(position: int) -> Text:
    """The name of a position where the word follows later: `third`."""
    return _POSITIONS_LEFT[position] if position < len(_POSITIONS_LEFT) else english("{number}th", number=position)


def places_named(positions: Sequence[int]) -> Text:
    """Return positions in words, the word once: `second, third and fourth position`."""
    *others, last = positions
    if not others:
        return place_name(last)
    earlier = joined(map(_place_left, others), ", ")
    return english("{earlier} and {position}", earlier=earlier, position=place_name(last))


def finger_pattern(instrument: Instrument, key: Key, position: int, strings: Iterable[int]) -> Exercise | None:
    """The key under four fingers, a bar a string, half steps bracketed, the fingers that touch named."""
    notes: list[SheetNote] = []
    touching = []
    for string in sorted(strings, reverse=True):
        tones = ladder(instrument, key, position, (string,))
        if not tones:
            continue
        pairs = list(zip(tones, [*tones[1:], None], strict=True))
        halves = [(low, high) for low, high in pairs if high is not None and is_half_step(low, high)]
        touching.append(
            (
                instrument.string_name(string),
                [english("{low} and {high}", low=low.finger or 0, high=high.finger or 0) for low, high in halves],
            )
        )
        notes += [
            SheetNote((low,), Fraction(1), position, half_step=high is not None and is_half_step(low, high))
            for low, high in pairs
        ]
        if len(tones) < len(FINGERS):
            notes.append(SheetNote((), Fraction(len(FINGERS) - len(tones))))
    if not notes:
        return None
    title = english("Finger pattern in {position}, {key}", position=place_name(position), key=key.name)
    return Exercise(title, _touching_line(touching), bars_of(from_down_bow(notes), PATTERN_METER, key.fifths))


def _touching_line(touching: Sequence[tuple[str, Sequence[Text]]]) -> Text:
    """Which fingers touch on which strings, strings alike together."""
    by_fingers: dict[Text, list[str]] = {}
    for string, pairs in touching:
        by_fingers.setdefault(joined(pairs, ", "), []).append(string)
    found = []
    for pairs_text, strings in by_fingers.items():
        fingers = pairs_text or english("none")
        if len(strings) > 1:
            found.append(english("strings {strings}: {fingers}", strings=listed(strings), fingers=fingers))
        else:
            found.append(english("string {string}: {fingers}", string=strings[0], fingers=fingers))
    return english("Fingers that touch: {fingers}.", fingers=set_apart(found))


def hand_frame(instrument: Instrument, key: Key, position: int, strings: Iterable[int]) -> Exercise | None:
    """Octaves of the first and fourth finger on neighbouring strings: one, the other, both."""
    notes: list[SheetNote] = []
    for lower in sorted(set(strings), reverse=True):
        if lower - 1 not in instrument.string_numbers:
            continue
        low = stop_in_key(instrument, key, lower, position, FINGERS[0])
        high = stop_in_key(instrument, key, lower - 1, position, FINGERS[-1])
        octave = high.pitch.midi - low.pitch.midi == _OCTAVE_SEMITONES
        if octave and all_in_frame(instrument, (low, high), position):
            notes += [SheetNote((tone,), Fraction(1), position) for tone in (low, high)]
            notes.append(SheetNote((low, high), Fraction(2), position))
            break
    if not notes:
        return None
    text = english(
        "Fingers 1 and 4 make the octave that frames the hand. Both stay down; let go before you play it again."
    )
    bars = bars_of(from_down_bow(notes), PATTERN_METER, key.fifths)
    title = english("The frame of the hand in {position}", position=place_name(position))
    return Exercise(title, text, bars, is_repeated=True)


_OCTAVE_SEMITONES = 12
_FEWEST_CROSSINGS = 4
"""Notes of a bar: to and fro twice."""


def string_crossing(
    instrument: Instrument, key: Key, position: int, strings: Iterable[int], meter: Meter
) -> Exercise | None:
    """To and fro between the first two neighbouring strings, the hand quiet."""
    wanted = set(strings)
    lower = next((string for string in sorted(wanted, reverse=True) if string - 1 in wanted), None)
    if lower is None:
        return None
    unit, whole = unit_length(meter), bar_length(meter)
    if whole // unit < _FEWEST_CROSSINGS:
        unit /= 2
    notes: list[SheetNote] = []
    for low_finger, high_finger in ((1, 2), (2, 1), (3, 1), (3, 2)):
        low = stop_in_key(instrument, key, lower, position, low_finger)
        high = stop_in_key(instrument, key, lower - 1, position, high_finger)
        if not all_in_frame(instrument, (low, high), position):
            continue
        for number in range(max(int(whole // unit), 1)):
            notes.append(SheetNote((low if number % 2 == 0 else high,), unit, position))
        notes[-1] = replace(notes[-1], beats=notes[-1].beats + whole % unit)
    if sum((note.beats for note in notes), Fraction(0)) < 2 * whole:
        return None
    title = english("Across the strings in {position}", position=place_name(position))
    text = english("The arm crosses, the hand stays. Both fingers stay down.")
    return Exercise(title, text, bars_of(from_down_bow(notes), meter, key.fifths, fill=True))


def bowings(instrument: Instrument, key: Key, position: int, string: int, meter: Meter) -> Exercise | None:
    """The four fingers of one string under four bowings, a bar each, from separate strokes to all in one."""
    tones = [stop_in_key(instrument, key, string, position, finger) for finger in FINGERS]
    if not all_in_frame(instrument, tones, position):
        return None
    unit, whole = unit_length(meter), bar_length(meter)
    if whole // unit < _FEWEST_STROKES:
        unit /= 2
    count = int(whole // unit)
    # Up the fingers and down again, as far as the bar goes.
    turn = [*tones, *tones[-2:0:-1]]
    notes: list[SheetNote] = []
    strokes = 0
    for number, groups in enumerate(_strokes(count)):
        ends = {sum(groups[: place + 1]) - 1 for place in range(len(groups))}
        for index in range(count):
            # The fingers are printed once: they do not change.
            tone = replace(turn[index % len(turn)], show_finger=number == 0)
            bow = None if index else (Bow.UP if strokes % 2 else Bow.DOWN)
            notes.append(SheetNote((tone,), unit, position, bowed_on=index not in ends, bow=bow))
        notes[-1] = replace(notes[-1], beats=notes[-1].beats + whole - count * unit)
        strokes += len(groups)
    title = english("Four bowings in {position}", position=place_name(position))
    text = english("The fingers do the same in every bar; only the bow changes.")
    return Exercise(title, text, bars_of(from_down_bow(notes), meter, key.fifths), dynamic="mf")


_FEWEST_STROKES = 3


def _strokes(count: int) -> tuple[list[int], ...]:
    """So many notes in strokes: one each, two each, a long stroke and a short one (or two halves), all in one."""
    pairs = [2] * (count // 2) + [1] * (count % 2)
    uneven = [1, 2] if count == _FEWEST_STROKES else [count // 2] * 2 if count % 6 == 0 else [count - 1, 1]
    return [1] * count, pairs, uneven, [count]


def half_position_place(instrument: Instrument, key: Key, string: int, meter: Meter) -> Exercise | None:
    """The place of the hand by ear; None if the key has no note there for it.

    The first finger a half step above the open string, heard against it. Where the key has no such note, the second
    finger on the note that the first one has at home.
    """
    low = stop_in_key(instrument, key, string, HALF_POSITION, FINGERS[0])
    ringing = Tone(instrument.open_pitch(string), 0, string)
    whole = bar_length(meter)
    if is_in_frame(instrument, low, HALF_POSITION) and low.pitch.midi - ringing.pitch.midi == 1:
        notes = [SheetNote((tone,), whole, HALF_POSITION) for tone in (ringing, low, ringing, low)]
        text = english("Finger 1 lies a half step above the open string; the hand moves back with it, thumb and all.")
    else:
        home = stop_in_key(instrument, key, string, HOME_POSITION, FINGERS[0])
        back = stop_in_key(instrument, key, string, HALF_POSITION, FINGERS[1])
        if not is_in_frame(instrument, home, HOME_POSITION) or not is_in_frame(instrument, back, HALF_POSITION):
            return None
        notes = [SheetNote((home,), whole, HOME_POSITION), SheetNote((back,), whole, HALF_POSITION)] * 2
        text = english(
            "The hand moves back until finger 2 stands where finger 1 was, thumb and all: the pitch stays the same."
        )
    return Exercise(english("Find the place by ear"), text, bars_of(from_down_bow(notes), meter, key.fifths))


def reach_prepared(instrument: Instrument, key: Key, position: int, reached: Tone, meter: Meter) -> Exercise:
    """The neighbouring finger, the finger at home, and the finger reaching out, as the piece asks for it."""
    whole = bar_length(meter)
    string, finger = reached.string or 1, reached.finger or 1
    beside = finger - 1 if finger > 1 else 2
    near = stop_in_key(instrument, key, string, position, beside)
    home = stop_in_key(instrument, key, string, position, finger)
    way = [tone for tone in (near, home) if is_in_frame(instrument, tone, position) and tone.pitch != reached.pitch]
    # Its string is printed where another finger would have the note on the next one: the digit alone looks like a slip.
    others = ladder(instrument, key, position, (number for number in instrument.string_numbers if number != string))
    reached = replace(reached, show_string=any(tone.pitch == reached.pitch for tone in others))
    notes = [SheetNote((tone,), whole, position) for tone in (*way, reached, *reversed(way))]
    text = english(
        "Finger {finger} reaches out; finger {beside} stays where it is and the thumb is loose. "
        "If it strains, leave it out.",
        finger=finger,
        beside=beside,
    )
    title = english("Preparing the reach to {note}", note=reached.pitch.letter_name)
    return Exercise(title, text, bars_of(from_down_bow(notes), meter, key.fifths))


def harmonic_prepared(instrument: Instrument, key: Key, position: int, touched: Tone, meter: Meter) -> Exercise:
    """The open string and the harmonic that a finger touches on it."""
    whole = bar_length(meter)
    string = touched.string or 1
    ringing = Tone(instrument.open_pitch(string), 0, string)
    notes = [SheetNote((tone,), whole, position) for tone in (touched, ringing, touched)]
    text = english(
        "Touch, do not press: the bow near the bridge, finger {finger} as light as a feather.",
        finger=touched.finger or 0,
    )
    title = english("Preparing the harmonic on the {string} string", string=instrument.string_name(string))
    return Exercise(title, text, bars_of(from_down_bow(notes), meter, key.fifths))


def between(start: int, goal: int) -> Text:
    """Return where a shift leads from and to, in words: `first to third position`."""
    return english("{start} to {goal}", start=_place_left(start), goal=place_name(goal))


_LONG_BOW = 2
"""Quarter notes of a whole bow at least; short bars are tied together."""


def open_strings(instrument: Instrument, meter: Meter) -> Exercise:
    """Long open strings, the bow alone: every one of them, in no key."""
    whole = bar_length(meter) * ceil(_LONG_BOW / bar_length(meter))
    strings = reversed(instrument.string_numbers)
    notes = [SheetNote((Tone(instrument.open_pitch(string), 0, string),), whole, 1) for string in strings]
    text = english("Whole bows, the left hand hanging loose. Breathe out on every down bow.")
    return Exercise(english("The bow alone"), text, bars_of(from_down_bow(notes), meter, 0, fill=True))


__all__ = ["HALF_POSITION", "between", "bowings", "finger_pattern",
           "half_position_place", "hand_frame", "harmonic_prepared", "open_strings", "place_name", "places_named",
           "reach_prepared", "string_crossing"]  # fmt: skip
