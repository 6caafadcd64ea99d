"""The notes of a key under the fingers: what each finger sounds in a position.

What belongs here: keys, the ladder of stops that a position offers in a key, half steps.
What does not: music made of them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from .hand import FINGERS, frame_excess, stops_for
from .instrument import LETTERS, Instrument, Pitch
from .plan import in_key
from .sheet import Tone

_MAJOR_TONICS = {-7: "Cb", -6: "Gb", -5: "Db", -4: "Ab", -3: "Eb", -2: "Bb", -1: "F", 0: "C",
                 1: "G", 2: "D", 3: "A", 4: "E", 5: "B", 6: "F#", 7: "C#"}  # fmt: skip
_MINOR_TONICS = {fifths: _MAJOR_TONICS[fifths + 3] for fifths in range(-7, 5)} | {5: "G#", 6: "D#", 7: "A#"}


@dataclass(frozen=True, slots=True)
class Key:
    """A key: sharps (positive) or flats of its signature, and whether it is minor."""

    fifths: int
    minor: bool = False

    @property
    def tonic(self) -> str:
        """The name of the tonic, for example `Bb`."""
        return (_MINOR_TONICS if self.minor else _MAJOR_TONICS)[self.fifths]

    @property
    def name(self) -> str:
        """The name in words, for example `B flat major`; without signs, which some programs take for commands."""
        accidental = {"#": " sharp", "b": " flat"}.get(self.tonic[1:], "")
        return f"{self.tonic[0]}{accidental} {'minor' if self.minor else 'major'}"

    @classmethod
    def named(cls, text: str) -> Key:
        """Return the key called `D`, `Bb`, `F#m` or `d` (a small letter or an m is minor).

        Raises:
            ValueError: if there is no such key signature.
        """
        minor = text.endswith("m") or text[:1].islower()
        tonic = text.removesuffix("m")
        tonic = tonic[:1].upper() + tonic[1:]
        table = _MINOR_TONICS if minor else _MAJOR_TONICS
        for fifths, name in table.items():
            if name == tonic:
                return cls(fifths, minor)
        raise ValueError(f"{text!r} is not a key: write for example D, Bb, F#m or Am")

    def pitch(self, letter: int) -> Pitch:
        """Return the pitch on a letter as the key signature has it."""
        return in_key(letter, self.fifths)

    def degree(self, letter: int) -> int:
        """Return the degree of the scale on a letter, 1 the tonic."""
        return (letter - LETTERS.index(self.tonic[0])) % 7 + 1

    def contains(self, pitch: Pitch) -> bool:
        """Return True if the pitch belongs to the signature."""
        return self.pitch(pitch.letter) == pitch


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


def ladder(instrument: Instrument, key: Key, position: int, strings: Iterable[int]) -> tuple[Tone, ...]:
    """Return the tones of the key that the four fingers take in a position, string by string, rising."""
    found = []
    for string in sorted(strings, reverse=True):
        tones = [stop_in_key(instrument, key, string, position, finger) for finger in FINGERS]
        found += [tone for tone in tones if is_in_frame(instrument, tone, position)]
    return tuple(found)


def first_position(instrument: Instrument, pitch: Pitch, string: int | None = None) -> Tone | None:
    """Return how first position sounds a pitch without stretching (fingered rather than open), or None."""
    ways = [
        Tone(pitch, stop.finger, stop.string)
        for stop, _ in stops_for(pitch, instrument)
        if string in (None, stop.string) and is_in_frame(instrument, Tone(pitch, stop.finger, stop.string), 1)
    ]
    stopped = [way for way in ways if way.finger]
    return min(stopped or ways, key=lambda way: way.finger or 0, default=None)


def open_in_key(instrument: Instrument, key: Key, string: int) -> bool:
    """Return True if the open string belongs to the key."""
    return key.contains(instrument.open_pitch(string))


def is_half_step(low: Tone, high: Tone) -> bool:
    """Return True if the second tone lies a half step above the first."""
    return high.pitch.midi - low.pitch.midi == 1


def key_of(fifths: int, last: Pitch | None) -> Key:
    """Return the key of a signature: minor if the piece ends on the tonic of the minor key, else major."""
    minor = Key(fifths, minor=True)
    if last is not None and last.step == minor.tonic[0] and minor.contains(last):
        return minor
    return Key(fifths)


__all__ = ["Key", "first_position", "is_half_step", "is_in_frame", "key_of", "ladder", "open_in_key",
           "stop_in_key"]  # fmt: skip
