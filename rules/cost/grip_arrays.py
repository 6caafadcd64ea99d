"""Grips as arrays: a `Block` holds, for U sets of up to K grips of n stops each, the strings, fingers and places."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ..hand.grip import Grip, frame_excess

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class Block:
    """U sets of grips as arrays; `valid` is False where a set has fewer than K grips."""

    string: Array
    finger: Array
    semitones: Array
    letters: Array
    excess: Array
    position: Array
    valid: Mask

    @classmethod
    def of(cls, sets: Sequence[Sequence[Grip]]) -> Block:
        """Build the block of several sets of grips; all grips have the same number of stops."""
        most, stops = max(map(len, sets)), len(sets[0][0].stops)
        string, finger, semitones, letters, excess = np.zeros((5, len(sets), most, stops))
        position = np.zeros((len(sets), most))
        valid = np.zeros((len(sets), most), dtype=bool)
        for u, grips in enumerate(sets):
            k = len(grips)
            rows = [[(s.string, s.finger, s.semitones, s.letters) for s in grip.stops] for grip in grips]
            string[u, :k], finger[u, :k], semitones[u, :k], letters[u, :k] = np.moveaxis(np.array(rows, float), 2, 0)
            excess[u, :k] = [
                [frame_excess(s.semitones, s.finger, g.position) if s.finger else 0 for s in g.stops] for g in grips
            ]
            position[u, :k] = [grip.position for grip in grips]
            valid[u, :k] = True
        return cls(string, finger, semitones, letters, excess, position, valid)

    @classmethod
    def joined(cls, blocks: Sequence[Block]) -> Block:
        """Return the sets of several blocks of one shape as one block."""
        arrays: list[Any] = [
            np.concatenate([getattr(block, name) for block in blocks]) for name in cls.__dataclass_fields__
        ]
        return cls(*arrays)

    def widened(self, most: int) -> Block:
        """Return the block padded to `most` grips a set."""
        short = most - self.valid.shape[1]
        if short <= 0:
            return self
        arrays = (self.string, self.finger, self.semitones, self.letters, self.excess, self.position, self.valid)
        padded: list[Any] = [np.pad(array, [(0, 0), (0, short)] + [(0, 0)] * (array.ndim - 2)) for array in arrays]
        return Block(*padded)
