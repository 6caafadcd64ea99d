"""Where the music asks for a singing tone, and where it has none, as numbers between 0 and 1.

A held note on an open string or under the little finger is a fault only where somebody listens to its tone. Plucked,
tapped and thrown notes have no tone to care for, nor have quick repeated ones. A plain tune within first position is
played as it comes (S. George, "Teach Shifting to Young Violinists", 2012, and common practice).
"""

from __future__ import annotations

from bisect import bisect_left
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from ..music.passage import Passage

Array = NDArray[np.float64]

WITHOUT_TONE = ("pizz", "col legno", "spicc", "saltand", "saltato", "sautill", "ricochet", "jeté", "jete", "battuto")
WITH_THE_BOW = ("arco", "ordinario", "ord.", "naturale", "détaché", "detache", "legato")
PLUCKED = ("pizz", "col legno", "battuto")
SINGING_WORDS = ("cantabile", "cantando", "espress", "dolce", "sostenuto", "tranquill", "lirico", "gesangvoll", "innig")
BRILLIANT_WORDS = ("brillante", "brioso", "con brio", "spiccato", "leggiero", "staccato", "saltando", "virtuos")


def in_force(passage: Passage, words: tuple[str, ...], until: tuple[str, ...]) -> Array:
    """Return 1 for every event from one of the `words` on until one of the others, else 0."""
    events = passage.events
    found = np.zeros(len(events))
    for printed in passage.words:
        value = _value_from(printed.text, words, until)
        if value is not None:
            found[bisect_left(events, printed.onset, key=lambda event: event.onset) :] = value
    return found


@lru_cache(maxsize=1024)
def _value_from(printed: str, words: tuple[str, ...], until: tuple[str, ...]) -> float | None:
    """What holds from some printed words on; None if they say nothing about it."""
    text = printed.lower()
    if any(word in text for word in until):
        return 0.0
    return 1.0 if any(word in text for word in words) else None


def lean_of_words(passage: Passage) -> Array:
    """Return how far printed words lean towards singing (0.25) or brilliance (-0.25), from where they stand."""
    events = passage.events
    lean = np.zeros(len(events))
    for words in passage.words:
        text = words.text.lower()
        push = 0.25 * any(w in text for w in SINGING_WORDS) - 0.25 * any(w in text for w in BRILLIANT_WORDS)
        if push:
            lean[bisect_left(events, words.onset, key=lambda event: event.onset) :] = push
    return lean


def plucked(passage: Passage) -> Array:
    """Return 1 for every event that is plucked or tapped, else 0."""
    return in_force(passage, PLUCKED, WITH_THE_BOW)
