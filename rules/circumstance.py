"""When something is asked of the hand: time, bow, beat and character at every event, as numbers between 0 and 1.

Each circumstance scales the terms of `effort` that name it. All are rounded to sixteenths, so that sums stay exact.
Times are in seconds: a quarter note at 60 is 1.0. What does not belong here: the hand itself (see `geometry`).
"""

from __future__ import annotations

from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from .passage import Passage, Technique

Array = NDArray[np.float64]

SINGING_WORDS = (
    "cantabile",
    "cantando",
    "espress",
    "dolce",
    "sostenuto",
    "tranquillo",
    "lirico",
    "gesangvoll",
    "innig",
)
BRILLIANT_WORDS = ("brillante", "brioso", "con brio", "spiccato", "leggiero", "staccato", "saltando", "virtuos")


class Character(StrEnum):
    """How much tone weighs against ease."""

    FROM_THE_PART = "from the part"
    SINGING = "singing"
    BRILLIANT = "brilliant"


def _sixteenths(values: Array) -> Array:
    return np.round(np.clip(values, 0.0, 1.0) * 16) / 16


def _ramp(values: Array, start: float, end: float) -> Array:
    """0 at `start`, 1 at `end`, straight in between."""
    return _sixteenths((values - start) / (end - start))


def _smoothed(values: Array, width: int) -> Array:
    """Mean over `width` events on either side."""
    sums = np.concatenate([[0.0], np.cumsum(values)])
    index = np.arange(len(values))
    low, high = np.maximum(index - width, 0), np.minimum(index + width + 1, len(values))
    return np.asarray((sums[high] - sums[low]) / (high - low))


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
    lean = np.zeros(len(events))
    onsets = [event.onset for event in events]
    for words in passage.words:
        text = words.text.lower()
        push = 0.25 * any(w in text for w in SINGING_WORDS) - 0.25 * any(w in text for w in BRILLIANT_WORDS)
        if push:
            lean[np.searchsorted(np.array(onsets, dtype=float), float(words.onset)) :] = push
    return _sixteenths(value + lean)


def circumstances(passage: Passage, character: Character = Character.FROM_THE_PART) -> dict[str, Array]:
    """Return every circumstance as an array over the events.

    For moves, the entry at event t tells about the way from event t - 1 to t.
    """
    events = passage.events
    seconds = np.array([event.seconds for event in events], dtype=np.float64)
    before = np.concatenate([[1.0], seconds[:-1]])
    rest = np.array([event.rest for event in events], dtype=np.float64)
    slurred = np.array([event.slurred for event in events], dtype=np.float64)
    strength = np.array([event.strength for event in events], dtype=np.float64)
    highest = np.array([max((n.pitch.midi for n in event.notes), default=0) for event in events])
    trill = np.array([any(n.techniques & TRILLED for n in event.notes) for event in events], dtype=np.float64)
    loud = np.array([event.dynamic for event in events], dtype=np.float64)
    bound = 1 - _ramp(rest, 0.0, 0.5)
    fast = _ramp(-before, -0.25, -0.1)
    sings = singing(passage, character)
    top = passage.instrument.open_strings[0].midi + 7
    modest = 1.0 - _ramp(np.array([float((highest > top).mean()) if len(events) else 0.0]), 0.0, 0.04)[0]
    always = np.ones(len(events))
    next_lower = np.concatenate([highest[1:] < highest[:-1], [False]]).astype(float)
    rising = np.concatenate([[0.0], (highest[1:] > highest[:-1]).astype(float)])
    found = {
        "always": always,
        "long": _ramp(seconds, 0.35, 1.2),
        "brief": _ramp(-seconds, -0.3, -0.12),
        "bound": bound,
        "bound, slurred": bound * slurred,
        "bound, fast": bound * fast,
        "bound, slow": bound * _ramp(before, 0.3, 1.0),
        "bound, off the beat": bound * (strength == 0),
        "slurred": slurred,
        "slurred, singing": slurred * sings,
        "singing": sings,
        "long, singing": _ramp(seconds, 0.35, 1.2) * sings,
        "bound, singing": bound * sings,
        "bound, modest part": bound * modest,
        "modest part": always * modest,
        "demanding part": always * (1 - modest),
        "trilled": trill,
        "loud": _ramp(loud, 0.0, 2.0),
        "soft": _ramp(-loud, 0.0, 2.0),
        "next falls": next_lower,
        "rising": rising,
        "falling": 1 - rising,
    }
    return {name: _sixteenths(value) for name, value in found.items()}


TRILLED = frozenset({Technique.TRILL, Technique.MORDENT, Technique.TURN})
