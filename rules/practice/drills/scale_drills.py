"""Scales and arpeggios: within one position, along one string, and through a shift."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from ...hand.grip import FINGERS, HOME_POSITION
from ...music.instrument import Instrument
from ...music.key import Key
from ...music.metre import Meter, unit_length
from ...text import Text, english, joined
from ..barring import bars_of, from_down_bow
from ..scale_tones import all_in_frame, is_in_frame, ladder, stop_in_key
from ..sheet import Exercise, SheetNote, Tone
from .position_drills import between, place_name

FEWEST_BEFORE = 2
"""Notes of a scale before its shift, and after it."""
OCTAVE = 7
"""Steps of an octave."""
_SIXTH, _SEVENTH = 6, 7


def scale(instrument: Instrument, key: Key, position: int, meter: Meter, octaves: int = 3) -> Exercise | None:
    """The scale within one position, tonic to tonic, as far as four fingers on all strings go, and back."""
    title = english("Scale in {position}, {key}", position=place_name(position), key=key.name)
    text = english("Even and slow; listen for the half steps. Then two and four notes to a bow.")
    if meter[0] % 3 == 0:
        text = english("Even and slow; listen for the half steps. Then three and six notes to a bow.")
    return _run(instrument, key, position, meter, range(1, 8), octaves, title, text)


def arpeggio(instrument: Instrument, key: Key, position: int, meter: Meter, octaves: int = 3) -> Exercise | None:
    """The chord of the tonic within one position, up and back."""
    title = english("Arpeggio in {position}, {key}", position=place_name(position), key=key.name)
    text = english("Hear each note before the finger falls.")
    return _run(instrument, key, position, meter, (1, 3, 5), octaves, title, text)


def along_the_string(
    instrument: Instrument, key: Key, start: int, goal: int, string: int, meter: Meter
) -> Exercise | None:
    """The scale up one string through two positions, with one shift on the first finger, and home."""
    steps = min(goal - start, len(FINGERS))
    low = [stop_in_key(instrument, key, string, start, finger) for finger in range(1, steps + 1)]
    high = [stop_in_key(instrument, key, string, goal, finger) for finger in FINGERS]
    if goal <= start or not all_in_frame(instrument, low, start) or not all_in_frame(instrument, high, goal):
        return None
    up = [(tone, start) for tone in low] + [(tone, goal) for tone in high]
    notes = _in_beats([*up, *reversed(up)], meter)
    text = english(
        "A few notes of the scale, with the shift between them. The thumb goes with the hand; finger 1 keeps in touch."
    )
    title = english(
        "Along the {string} string, {positions}",
        string=instrument.string_name(string),
        positions=between(start, goal),
    )
    return Exercise(title, text, bars_of(from_down_bow(notes), meter, key.fifths, fill=True))


def through_the_shift(
    instrument: Instrument, key: Key, start: int, goal: int, string: int, meter: Meter
) -> Exercise | None:
    """The scale of the key from tonic to tonic and back, with the shift up to the first finger on one string.

    None if fewer than two notes would stand before the shift or after it.
    """
    anchor = stop_in_key(instrument, key, string, goal, FINGERS[0])
    lower = [number for number in instrument.string_numbers if number >= string]
    upper = [number for number in instrument.string_numbers if number <= string]
    low = [tone for tone in ladder(instrument, key, start, lower) if tone.pitch.letter < anchor.pitch.letter]
    high = list(ladder(instrument, key, goal, upper))
    tones = [*low, *high]
    if goal <= start or not high or high[0] != anchor or not _is_scale(tones):
        return None
    tonics = [index for index, tone in enumerate(tones) if key.degree(tone.pitch.letter) == 1]
    top = next((index for index in tonics if index >= len(low) + FEWEST_BEFORE - 1), None)
    foot = max((index for index in tonics if index <= len(low) - FEWEST_BEFORE), default=None)
    if top is None or foot is None or top - foot < OCTAVE:
        return None
    way = [(tone, start if index < len(low) else goal) for index, tone in enumerate(tones)][foot : top + 1]
    up = [(_home(instrument, tone, place), place) for tone, place in _rising(instrument, key, way)]
    down = [(tone, goal) for tone in tones[len(low) : top]]
    down = [*((_home(instrument, tone, start), start) for tone in tones[foot : len(low)]), *down]
    notes = _in_beats([*up, *reversed(down)], meter)
    title = english("Scale of {key} through a shift", key=key.name)
    text = english("The shift is not to be heard: the thumb goes with the hand, and finger 1 keeps in touch.")
    text = joined((text, _natural_line(key, [tone for tone, _ in up])))
    return Exercise(title, text, bars_of(from_down_bow(notes), meter, key.fifths, fill=True))


def _is_scale(tones: Sequence[Tone]) -> bool:
    """Whether the tones go up letter by letter."""
    letters = [tone.pitch.letter for tone in tones]
    return letters == list(range(letters[0], letters[0] + len(letters)))


def _home(instrument: Instrument, tone: Tone, position: int) -> Tone:
    """In first and half position the open string for a fourth finger that has its pitch."""
    return _open_if_it_is(instrument, tone) if position <= HOME_POSITION else tone


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
    """The tones on some degrees from one tonic to another, up and down; None where the hand has no whole octave."""
    wanted = set(degrees)
    tones = _octaves(key, _under_the_hand(instrument, key, position), octaves)
    if not tones:
        return None
    tones = [tone for tone in tones if key.degree(tone.pitch.letter) in wanted]
    up = [_home(instrument, tone, position) for tone, _ in _rising(instrument, key, [(t, position) for t in tones])]
    down = [_home(instrument, tone, position) for tone in reversed(tones[:-1])]
    way = [(tone, position) for tone in (*up, *down)]
    bars = bars_of(from_down_bow(_in_beats(way, meter)), meter, key.fifths, fill=True)
    return Exercise(title, joined((text, _natural_line(key, up))), bars)


def _natural_line(key: Key, up: Sequence[Tone]) -> Text:
    """Return what is to be said of a minor scale whose seventh degree the hand cannot raise, or nothing."""
    sevenths = [tone for tone in up if key.degree(tone.pitch.letter) == _SEVENTH]
    if not key.minor or not sevenths or any(tone.pitch != key.pitch(tone.pitch.letter) for tone in sevenths):
        return Text()
    return english("This is the natural minor: the seventh note is not raised.")


def _under_the_hand(instrument: Instrument, key: Key, position: int) -> list[Tone]:
    """The tones of the key in a position, rising; near the nut also the open strings that no finger takes."""
    tones = list(ladder(instrument, key, position, instrument.string_numbers))
    if position < HOME_POSITION:
        stopped = {tone.pitch.letter for tone in tones}
        opened = (Tone(instrument.open_pitch(string), 0, string) for string in instrument.string_numbers)
        tones += [tone for tone in opened if key.contains(tone.pitch) and tone.pitch.letter not in stopped]
    return sorted(tones, key=lambda tone: tone.pitch.letter)


def _octaves(key: Key, tones: Sequence[Tone], most: int) -> list[Tone]:
    """The tones from a tonic to another without a gap: as many octaves as there are, the lowest of them."""
    tonics = [index for index, tone in enumerate(tones) if key.degree(tone.pitch.letter) == 1]
    for count in range(min(most, len(tonics) - 1), 0, -1):
        for foot, top in zip(tonics, tonics[count:], strict=False):
            if _is_scale(tones[foot : top + 1]):
                return list(tones[foot : top + 1])
    return []


def _open_if_it_is(instrument: Instrument, tone: Tone) -> Tone:
    """The open string for a fourth finger that has its pitch."""
    string = (tone.string or 1) - 1
    if (
        tone.finger == FINGERS[-1]
        and string in instrument.string_numbers
        and instrument.open_pitch(string) == tone.pitch
    ):
        return Tone(tone.pitch, 0, string)
    return tone


def _rising(instrument: Instrument, key: Key, way: Sequence[tuple[Tone, int]]) -> list[tuple[Tone, int]]:
    """The way up, with the positions: in minor the sixth and seventh degree raised where the frame has both of them."""
    found = list(way)
    if not key.minor:
        return found
    for index in range(1, len(way)):
        pair = range(index - 1, index + 1)
        degrees = [key.degree(way[number][0].pitch.letter) for number in pair]
        higher = [(_raised(way[number][0]), way[number][1]) for number in pair]
        if degrees == [_SIXTH, _SEVENTH] and all(is_in_frame(instrument, *each) and each[0].finger for each in higher):
            found[index - 1 : index + 1] = higher
    return found


def _raised(tone: Tone) -> Tone:
    return replace(tone, pitch=replace(tone.pitch, alter=tone.pitch.alter + 1))


def _in_beats(way: Sequence[tuple[Tone, int]], meter: Meter) -> list[SheetNote]:
    """One note a beat (in compound metre, three a beat)."""
    return [SheetNote((tone,), unit_length(meter), position) for tone, position in way]


__all__ = ["along_the_string", "arpeggio", "scale", "through_the_shift"]
