"""Contexts that depend on the level besides the part: where home would do.

They follow from the part alone, never from what is decided in it, so that two plans of a part are weighed alike.
"""

from __future__ import annotations

from weakref import WeakKeyDictionary

import numpy as np

from ..candidates.candidates import candidates
from ..hand.level import FIRST
from ..music.passage import Passage
from .context import Array

HOME_WOULD_DO = "home would do"
"""First position has the event; it counts by the time that it sounds, three quarters of a second and more as 1."""
A_WHILE = 0.75

_KNOWN: WeakKeyDictionary[Passage, Array] = WeakKeyDictionary()


def home_would_do(passage: Passage) -> Array:
    """Return, for every event that first position reaches, how long it sounds (0 to 1, in sixteenths), else 0."""
    if passage not in _KNOWN:
        reached = np.array([not option.beyond for option in candidates(passage, FIRST, {})], dtype=np.float64)
        seconds = np.array([event.seconds for event in passage.events], dtype=np.float64)
        _KNOWN[passage] = np.round(np.minimum(seconds / A_WHILE, 1.0) * 16) / 16 * reached
    return _KNOWN[passage]
