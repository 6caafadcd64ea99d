"""Positions as practice: finger patterns, scales, arpeggios, and the way along one string.

What belongs here: everything that is made of a key and a position alone. What does not: the shifts of a piece.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from ..hand.grip import FINGERS
from ..music.instrument import Instrument
from ..music.key import Key
from ..music.metre import Meter
from ..plan.fingerboard import fingerboard_in
from .barring import bar_length, bars_of, beat_length
from .scale_tones import is_half_step, is_in_frame, ladder, open_in_key, stop_in_key
from .sheet import Exercise, SheetNote, Tone

PATTERN_METER = (4, 4)
_NAMES = ("half", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")


def place_name(position: int) -> str:
    """Return the name of a position as one word, for headings: `third`."""
    return _NAMES[position] if position < len(_NAMES) else f"{position}th"


def finger_pattern(instrument: Instrument, key: Key, position: int, strings: Iterable[int]) -> Exercise:
    """The key under four fingers, a bar a string, half steps bracketed, low and high fingers named."""
    board = fingerboard_in(instrument, position, key)
    notes: list[SheetNote] = []
    for string in sorted(strings, reverse=True):
        tones = ladder(instrument, key, position, (string,))
        for tone, following in zip(tones, [*tones[1:], None], strict=True):
            place = board.spot_in_key(string, tone.finger or 0)
            notes.append(
                SheetNote(
                    (tone,),
                    Fraction(1),
                    position,
                    half_step=following is not None and is_half_step(tone, following),
                    below=place.placement.value if place else "",
                )
            )
        missing = len(FINGERS) - len(tones)
        if missing:
            notes.append(SheetNote((), Fraction(missing)))
    text = "Brackets are half steps: the fingers touch."
    title = f"Finger pattern in {place_name(position)}, {key.name}"
    return Exercise(title, text, bars_of(notes, PATTERN_METER, key.fifths))


def scale(instrument: Instrument, key: Key, position: int, meter: Meter, octaves: int = 3) -> Exercise | None:
    """The scale within one position, tonic to tonic, as far as four fingers on all strings go, and back."""
    text = "Even and slow; listen for the half steps."
    return _run(instrument, key, position, meter, range(1, 8), octaves, "Scale", text)


def arpeggio(instrument: Instrument, key: Key, position: int, meter: Meter, octaves: int = 3) -> Exercise | None:
    """The chord of the tonic within one position, up and back."""
    text = "Hear each note before the finger falls."
    return _run(instrument, key, position, meter, (1, 3, 5), octaves, "Arpeggio", text)


def along_the_string(instrument: Instrument, key: Key, position: int, string: int, meter: Meter) -> Exercise | None:
    """The scale up one string from first position into another, with one shift on the first finger, and home."""
    steps = min(position - 1, 4)
    low = [stop_in_key(instrument, key, string, 1, finger) for finger in range(1, steps + 1)]
    high = [stop_in_key(instrument, key, string, position, finger) for finger in FINGERS]
    if position < 2 or not _all_in_frame(instrument, low, 1) or not _all_in_frame(instrument, high, position):
        return None
    up = [(tone, 1) for tone in low] + [(tone, position) for tone in high]
    notes = _in_beats([*up, *reversed(up)], meter)
    text = "The thumb goes with the hand; finger 1 keeps in touch."
    title = f"Along the string {instrument.string_name(string)}, first and {place_name(position)}"
    return Exercise(title, text, bars_of(notes, meter, key.fifths, fill=True))


def open_strings(instrument: Instrument, key: Key, meter: Meter) -> Exercise | None:
    """Long open strings that belong to the key, the bow alone; None if none does, as in D flat major."""
    whole = max(bar_length(meter), Fraction(2))
    strings = [string for string in reversed(instrument.string_numbers) if open_in_key(instrument, key, string)]
    if not strings:
        return None
    notes = [SheetNote((stop_in_key(instrument, key, string, 1, 0),), whole, 1) for string in strings]
    text = "Whole bows, the left hand hanging loose. Breathe out on every down bow."
    return Exercise("The bow alone", text, bars_of(notes, meter, key.fifths, fill=True))


def position_page(
    instrument: Instrument, key: Key, position: int, strings: Iterable[int], meter: Meter, octaves: int = 3
) -> Iterator[Exercise]:
    """Yield the finger pattern, the scale and the arpeggio of a position, over at most so many octaves."""
    yield finger_pattern(instrument, key, position, strings)
    for make in (scale, arpeggio):
        exercise = make(instrument, key, position, meter, octaves)
        if exercise is not None:
            yield exercise


def _run(
    instrument: Instrument,
    key: Key,
    position: int,
    meter: Meter,
    degrees: Iterable[int],
    octaves: int,
    title: str,
    text: str,
) -> Exercise | None:
    """The tones on some degrees from the lowest tonic to the highest one, up and down."""
    wanted = set(degrees)
    tones = list(ladder(instrument, key, position, instrument.string_numbers))
    tonics = [index for index, tone in enumerate(tones) if key.degree(tone.pitch.letter) == 1]
    if len(tonics) < 2:
        return None
    tones = [t for t in tones[tonics[0] : tonics[: octaves + 1][-1] + 1] if key.degree(t.pitch.letter) in wanted]
    raised = _raising(instrument, key, position) if key.minor else _as_it_is
    way = [(raised(tone), position) for tone in tones] + [(tone, position) for tone in reversed(tones[:-1])]
    notes = _in_beats(way, meter)
    bars = bars_of(notes, meter, key.fifths, fill=True)
    return Exercise(f"{title} in {place_name(position)}, {key.name}", text, bars)


def _as_it_is(tone: Tone) -> Tone:
    return tone


def _raising(instrument: Instrument, key: Key, position: int) -> Callable[[Tone], Tone]:
    """Melodic minor: sixth and seventh degree raised on the way up, where the frame allows."""

    def raised(tone: Tone) -> Tone:
        if key.degree(tone.pitch.letter) not in (6, 7):
            return tone
        higher = replace(tone, pitch=replace(tone.pitch, alter=tone.pitch.alter + 1))
        return higher if is_in_frame(instrument, higher, position) else tone

    return raised


def _in_beats(way: Sequence[tuple[Tone, int]], meter: Meter) -> list[SheetNote]:
    """One note a beat (in compound metre, three a beat)."""
    beat = beat_length(meter)
    unit = beat / 3 if beat > 1 else beat
    return [SheetNote((tone,), unit, position) for tone, position in way]


def _all_in_frame(instrument: Instrument, tones: Iterable[Tone], position: int) -> bool:
    return all(is_in_frame(instrument, tone, position) for tone in tones)


__all__ = ["along_the_string", "arpeggio", "finger_pattern", "open_strings", "place_name", "position_page", "scale"]
