"""The notes of a key under the fingers: what each finger sounds in a position."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from fractions import Fraction

from ..hand.grip import FINGERS, HOME_POSITION, frame_excess, own_position, stops_for
from ..music.instrument import LETTERS, Instrument, Pitch
from ..music.key import Key
from .sheet import Tone

_MOST_SIGNS = 7


def stop_in_key(instrument: Instrument, key: Key, string: int, position: int, finger: int) -> Tone:
    """Return what a finger sounds in a position on a string, as the key has it."""
    if finger == 0:
        return Tone(instrument.open_pitch(string), 0, string)
    letter = instrument.open_pitch(string).letter + position - 1 + finger
    return Tone(key.pitch(letter), finger, string)


def semitones_above_nut(instrument: Instrument, tone: Tone) -> float:
    """Return how far above its open string a stopped tone lies."""
    if tone.string is None:
        raise ValueError("a tone without a string lies nowhere")
    return tone.pitch.midi - instrument.open_pitch(tone.string).midi


def is_in_frame(instrument: Instrument, tone: Tone, position: int) -> bool:
    """Return True if the finger takes the tone in this position without reaching out of the frame."""
    if tone.finger is None or tone.string is None:
        return False
    if tone.finger == 0:
        return tone.pitch == instrument.open_pitch(tone.string)
    semitones = semitones_above_nut(instrument, tone)
    return semitones > 0 and frame_excess(semitones, tone.finger, position) == 0


def all_in_frame(instrument: Instrument, tones: Iterable[Tone], position: int) -> bool:
    """Return True if the fingers take all the tones in this position without reaching out of the frame."""
    return all(is_in_frame(instrument, tone, position) for tone in tones)


def ladder(instrument: Instrument, key: Key, position: int, strings: Iterable[int]) -> tuple[Tone, ...]:
    """Return the tones of the key that the four fingers take in a position, string by string, rising."""
    found = []
    for string in sorted(strings, reverse=True):
        tones = [stop_in_key(instrument, key, string, position, finger) for finger in FINGERS]
        found += [tone for tone in tones if is_in_frame(instrument, tone, position)]
    return tuple(found)


def first_position(instrument: Instrument, pitch: Pitch) -> Tone | None:
    """Return how first position sounds a pitch without stretching, under its own letter (fingered rather than open)."""
    ways = [
        Tone(pitch, stop.finger, stop.string)
        for stop, _ in stops_for(pitch, instrument)
        if is_in_frame(instrument, Tone(pitch, stop.finger, stop.string), HOME_POSITION)
        and (stop.is_open or own_position(stop.letters, stop.finger) == HOME_POSITION)
    ]
    stopped = [way for way in ways if way.finger]
    return min(stopped or ways, key=lambda way: way.finger or 0, default=None)


def open_in_key(instrument: Instrument, key: Key, string: int) -> bool:
    """Return True if the open string belongs to the key."""
    return key.contains(instrument.open_pitch(string))


def is_half_step(low: Tone, high: Tone) -> bool:
    """Return True if the second tone lies a half step above the first."""
    return high.pitch.midi - low.pitch.midi == 1


def key_of(fifths: int, played: Sequence[tuple[Pitch, Fraction]]) -> Key:
    """Return the key of a signature, major or minor, by the melody under it: pitches, each with its beats.

    A melody that ends on a tonic tells which of the two it is, and so does one that begins on the minor tonic.
    Otherwise the key is the one whose tonic and leading note sound longer; the major key is told by its fifth instead,
    since its leading note belongs to both (common practice). A signature of more than seven signs names no key in use;
    the key that sounds the same (twelve fifths away) does.
    """
    if abs(fifths) > _MOST_SIGNS:
        fifths = (fifths + 5) % 12 - 5
    major, minor = Key(fifths), Key(fifths, minor=True)
    if not played:
        return major
    low, high = _tonic_class(minor), _tonic_class(major)
    ends = round(played[-1][0].midi) % 12
    if ends in (low, high):
        return minor if ends == low else major
    if round(played[0][0].midi) % 12 == low:
        return minor
    lasting: dict[int, Fraction] = defaultdict(Fraction)
    for pitch, beats in played:
        lasting[round(pitch.midi) % 12] += beats
    is_minor = lasting[low] + lasting[(low - 1) % 12] > lasting[high] + lasting[(high + _FIFTH) % 12]
    return minor if is_minor else major


_FIFTH = 7


def _tonic_class(key: Key) -> int:
    """The tonic as a number from 0 (C) to 11."""
    tonic = next(letter for letter in range(len(LETTERS)) if key.degree(letter) == 1)
    return round(key.pitch(tonic).midi) % 12


__all__ = [
    "all_in_frame",
    "first_position",
    "is_half_step",
    "is_in_frame",
    "key_of",
    "ladder",
    "open_in_key",
    "semitones_above_nut",
    "stop_in_key",
]
