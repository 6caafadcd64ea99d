"""A shift before it sounds: without the bow, and to a finger that only touches the string.

What the hand learns first is the way and the touch (common practice of teachers); the bow, or the harmonic, then
tells whether the finger is in its place.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from ...hand.grip import FINGERS
from ...hand.harmonics import NODES
from ...music.metre import bar_length, beat_length, halves
from ...text import Text, english, joined
from ..barring import bars_of, from_down_bow
from ..scale_tones import is_in_frame, semitones_above_nut, stop_in_key
from ..sheet import Exercise, Head, SheetNote, Tone
from .move import Move

_OCTAVE_PARTIAL, _TWELFTH_PARTIAL, _DOUBLE_OCTAVE_PARTIAL = 2, 3, 4
_CLEAR_PARTIALS = frozenset({_OCTAVE_PARTIAL, _TWELFTH_PARTIAL, _DOUBLE_OCTAVE_PARTIAL})
"""Harmonics that speak at once under every finger."""


def without_bow(move: Move) -> Exercise | None:
    """The shift in silence, then the note of arrival with the bow, there and back; None where silence is given."""
    if not move.is_sounding or move.departure.harmonic or move.arrival.harmonic:
        return None
    first, second = halves(move.meter)
    notes = []
    here, there = (move.departure, move.start), (move.arrival, move.goal)
    for (tone, position), (other, goal) in ((here, there), (there, here)):
        notes += [
            *_silent(move, tone, first, position),
            *_silent(move, other, second, goal),
            SheetNote((other,), bar_length(move.meter), goal),
        ]
    text = english(
        "No bow at the crosses: the whole hand goes, thumb and all. "
        "Then bow the note and hear where the finger has landed."
    )
    return _repeated(english("Without the bow"), text, notes, move)


def _silent(move: Move, tone: Tone, beats: Fraction, position: int) -> list[SheetNote]:
    """A finger set down for a beat, and a rest: crosses for longer notes are hard to tell from heads."""
    beat = min(beats, beat_length(move.meter))
    found = [SheetNote((replace(tone, head=Head.SILENT),), beat, position)]
    return [*found, SheetNote((), beats - beat)] if beats > beat else found


def on_a_harmonic(move: Move) -> Exercise | None:
    """The shift to a light finger, which only sounds in its right place, then the same stopped; None without a node."""
    if not move.is_sounding or move.is_home or move.arrival.harmonic:
        return None
    string = move.arrival.string or 1
    touched = _at_node(move, string)
    left = _own_string(move, string)
    if touched is None or left is None:
        return None
    partial = NODES[round(semitones_above_nut(move.instrument, touched))]
    first, second = halves(move.meter)
    notes = [
        SheetNote((left,), first, move.start),
        SheetNote((replace(touched, head=Head.LIGHT),), second, move.goal),
        SheetNote((touched,), bar_length(move.meter), move.goal),
    ]
    text = joined((_answer(partial, move.instrument.string_name(string)), english("Then let the finger sink in.")))
    return _repeated(english("On a harmonic"), text, notes, move)


def _at_node(move: Move, string: int) -> Tone | None:
    """A note of the key in the position reached whose place is a node: under the arrival's finger, else the lowest."""
    for finger in (move.arrival.finger or 1, *FINGERS):
        tone = stop_in_key(move.instrument, move.key, string, move.goal, finger)
        node = NODES.get(round(semitones_above_nut(move.instrument, tone)))
        # The finger that arrives goes to the note of the piece, not to another one beside it.
        astray = (finger, string) == (move.arrival.finger, move.arrival.string) and tone.pitch != move.arrival.pitch
        if node in _CLEAR_PARTIALS and not astray and is_in_frame(move.instrument, tone, move.goal):
            return tone
    return None


def _own_string(move: Move, string: int) -> Tone | None:
    """The departure, or what its finger has in that position on the string of the arrival."""
    if move.departure.string == string:
        return None if move.departure.harmonic else move.departure
    tone = stop_in_key(move.instrument, move.key, string, move.start, move.departure.finger or 1)
    return tone if is_in_frame(move.instrument, tone, move.start) else None


def _answer(partial: int, string: str) -> Text:
    """What sounds above the open string if the finger is in its place."""
    if partial == _OCTAVE_PARTIAL:
        return english(
            "Touch the diamond as light as a feather: in the right place it sounds an octave above the open {string}.",
            string=string,
        )
    if partial == _TWELFTH_PARTIAL:
        return english(
            "Touch the diamond as light as a feather: in the right place it sounds an octave and a fifth above the "
            "open {string}.",
            string=string,
        )
    return english(
        "Touch the diamond as light as a feather: in the right place it sounds two octaves above the open {string}.",
        string=string,
    )


def _repeated(title: Text, text: Text, notes: Sequence[SheetNote], move: Move) -> Exercise:
    bars = bars_of(from_down_bow(notes), move.meter, move.key.fifths, fill=True)
    return Exercise(title, text, bars, is_repeated=True)


__all__ = ["on_a_harmonic", "without_bow"]
