"""What a grip asks of the hand, and what leads from one grip to the next, measured; numbers only, no judgement.

Everything here works on whole blocks of grips at once: a `Block` holds, for U sets of up to K grips of n stops each, the
strings, fingers and places as arrays. `holding` measures single grips (shape U, K); `moving` measures every pair of a grip
of one block and a grip of the next (shape U, Ka, Kb). All measures are whole numbers or halves, so that sums of costs
stay exact. The names of the measures are used by the terms in `effort`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .hand import Grip, frame_excess, own_position

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

NARROWEST_APART = np.array([0.0, 1.0, 2.0, 4.0, 0.0])
WIDEST_APART = np.array([0.0, 2.0, 4.0, 5.0, 0.0])
"""Semitones between two fingers that lie 0, 1, 2, 3 apart in a relaxed frame (common practice); the last is never used."""


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
        return cls(*(np.concatenate([getattr(block, name) for block in blocks]) for name in cls.__dataclass_fields__))

    def widened(self, most: int) -> Block:
        """Return the block padded to `most` grips a set."""
        short = most - self.valid.shape[1]
        if short <= 0:
            return self
        arrays = (self.string, self.finger, self.semitones, self.letters, self.excess, self.position, self.valid)
        return Block(*(np.pad(array, [(0, 0), (0, short)] + [(0, 0)] * (array.ndim - 2)) for array in arrays))


def holding(block: Block) -> dict[str, Array]:
    """Measure every grip by itself; see `HOLDING` for the meaning of each name."""
    finger, string, semitones = block.finger, block.string, block.semitones
    stopped = finger > 0
    position = np.where(stopped.any(-1), block.position, 1)
    own = block.letters - finger + 1
    measured = {
        "away from first": (position != 1) & (position > 0),
        "steps up the neck": np.maximum(position - 1, 0),
        "beyond third": np.maximum(position - 3, 0),
        "beyond seventh": np.maximum(position - 7, 0),
        "even position": (position == 2) | (position == 4) | (position == 6),
        "second position": position == 2,
        "half position": position == 0,
        "first finger": (finger == 1).sum(-1),
        "second finger": (finger == 2).sum(-1),
        "third finger": (finger == 3).sum(-1),
        "fourth finger": (finger == 4).sum(-1),
        "open": (~stopped).sum(-1),
        "open top string": ((finger == 0) & (string == 1)).sum(-1),
        "open lowest string": ((finger == 0) & (string == 4)).sum(-1),
        "out of the frame": np.abs(block.excess).sum(-1),
        "fourth stretched": ((finger == 4) & (block.excess > 0)).sum(-1),
        "respelled": (stopped & (own != block.position[..., None])).sum(-1),
        "high on a lower string": (np.maximum(semitones - 9, 0) * (string > 1)).sum(-1) / 2,
        "on the top string": (stopped & (string == 1)).sum(-1),
        "on the lowest string": (stopped & (string == 4)).sum(-1),
    }
    measured |= _within_grip(finger, string, semitones)
    return {name: np.asarray(value, dtype=np.float64) for name, value in measured.items()}


def _within_grip(finger: Array, string: Array, semitones: Array) -> dict[str, Array]:
    """How the fingers of one grip lie to each other; all zero for single notes."""
    shape = finger.shape[:-1]
    crossed, strain, barred, fifths = (np.zeros(shape) for _ in range(4))
    for i in range(finger.shape[-1]):
        for j in range(i + 1, finger.shape[-1]):
            both = (finger[..., i] > 0) & (finger[..., j] > 0)
            apart = np.abs(finger[..., i] - finger[..., j]).astype(int)
            sign = np.where(finger[..., i] < finger[..., j], 1, -1)
            span = sign * (semitones[..., j] - semitones[..., i])
            same = both & (apart == 0)
            barred = barred + same
            fifths = fifths + (same & (semitones[..., i] == semitones[..., j]))
            wide = np.maximum(span - WIDEST_APART[apart], 0) + np.maximum(NARROWEST_APART[apart] - span, 0)
            strain = strain + np.where(both & (apart > 0), wide, 0)
            crossed = crossed + (both & (apart > 0) & (sign * (string[..., i] - string[..., j]) < 0))
    return {"crossed grip": crossed, "strained grip": strain, "fifth laid across": fifths}


def moving(a: Block, b: Block) -> dict[str, Array]:
    """Measure the way from every grip of `a` to every grip of `b`; see `MOVING` for the meaning of each name."""
    pairs = _Pairs(a, b)
    travel = b.position[:, None, :] - a.position[:, :, None]
    shift = travel != 0
    open_a = ~(a.finger > 0).any(-1)[:, :, None]
    open_b = ~(b.finger > 0).any(-1)[:, None, :]
    covered = open_a | open_b
    distance = np.abs(travel)
    on_string = pairs.any(lambda p: p.same_string)
    crossing = np.where(on_string, 0, pairs.least(lambda p: np.abs(p.string_a - p.string_b)))
    stopped_shift = shift & ~covered
    guide = stopped_shift & pairs.any(lambda p: p.same_string & p.same_finger)
    half_step = guide & pairs.any(lambda p: p.same_string & p.same_finger & (np.abs(p.rise) == 1))
    landing = b.finger[:, None, :, -1] * stopped_shift
    leaving = a.finger[:, :, None, -1] * stopped_shift
    still = ~shift
    repeat = pairs.any(lambda p: p.same_string & (p.rise == 0) & p.stopped & ~p.same_finger)
    values = {
        "shift": stopped_shift,
        "shift over an open string": shift & covered,
        "distance": np.where(stopped_shift, distance - 1, 0),
        "far": np.where(shift, np.maximum(distance - 3, 0), 0),
        "distance over an open string": np.where(shift & covered, distance - 1, 0),
        "same finger": guide,
        "half step": half_step,
        "shift across strings": stopped_shift & (crossing > 0),
        "shift on one string without guide": stopped_shift & (crossing == 0) & ~guide,
        "landing on the first": landing == 1,
        "landing on the second": landing == 2,
        "landing on the third": landing == 3,
        "landing on the fourth": landing == 4,
        "leaving the fourth": leaving == 4,
        "leaving the first upwards": (leaving == 1) & (travel > 0),
        "up to a higher finger": stopped_shift & (travel > 0) & (landing > leaving),
        "down to a lower finger": stopped_shift & (travel < 0) & (landing < leaving),
        "downwards": stopped_shift & (travel < 0),
        "crossing": crossing > 0,
        "skip": np.maximum(crossing - 1, 0),
        "crossing from open": (crossing > 0) & covered,
        "same finger hops": still & pairs.any(lambda p: p.stopped & p.same_finger & ~p.same_string & (p.apart != 0)),
        "fifth taken over": still & pairs.any(lambda p: p.stopped & p.same_finger & ~p.same_string & (p.apart == 0)),
        "finger slides": still & pairs.any(lambda p: p.stopped & p.same_finger & p.same_string & (p.rise != 0)),
        "stretch": np.where(still, pairs.most(_Pair.stretch), 0),
        "squeeze": np.where(still, pairs.most(_Pair.squeeze), 0),
        "finger changed on a repeated note": repeat,
        "string changed on a repeated note": pairs.any(lambda p: p.same_pitch_elsewhere),
    }
    return {name: np.asarray(value, dtype=np.float64) for name, value in values.items()}


def forbidden(a: Block, b: Block) -> Mask:
    """The hand leaves an open string while it sounds, so it never moves towards one; and grips that do not exist.

    Only a hand that cannot wait where it is (higher up than a hand rests, or beyond the level) moves at once.
    """
    same = a.position[:, :, None] == b.position[:, None, :]
    can_wait = (same & b.valid[:, None, :]).any(-1, keepdims=True)
    open_b = ~(b.finger > 0).any(-1)[:, None, :]
    return (~same & can_wait & open_b) | ~a.valid[:, :, None] | ~b.valid[:, None, :]


@dataclass(frozen=True)
class _Pair:
    """One stop of each grip of `a` beside one stop of each grip of `b`."""

    string_a: Array
    string_b: Array
    finger_a: Array
    finger_b: Array
    rise: Array
    same_string: Mask
    same_finger: Mask
    stopped: Mask
    apart: Array
    same_pitch_elsewhere: Mask

    def _span(self) -> tuple[NDArray[np.intp], Array, Mask]:
        apart = np.abs(self.finger_b - self.finger_a).astype(np.intp)
        span = np.where(self.finger_b > self.finger_a, self.apart, -self.apart)
        return apart, span, self.stopped & (apart > 0)

    def stretch(self) -> Array:
        apart, span, counts = self._span()
        return np.where(counts, np.maximum(span - WIDEST_APART[apart], 0), 0)

    def squeeze(self) -> Array:
        apart, span, counts = self._span()
        slack = np.where(self.same_string, 0, 1)
        return np.where(counts, np.maximum(NARROWEST_APART[apart] - slack - span, 0), 0)


class _Pairs:
    """All pairs of stops between two blocks; most blocks hold single notes and so have one pair."""

    def __init__(self, a: Block, b: Block) -> None:
        self._pairs = []
        for i in range(a.finger.shape[-1]):
            for j in range(b.finger.shape[-1]):
                string_a, string_b = a.string[:, :, None, i], b.string[:, None, :, j]
                finger_a, finger_b = a.finger[:, :, None, i], b.finger[:, None, :, j]
                apart = b.semitones[:, None, :, j] - a.semitones[:, :, None, i]
                same_string = string_a == string_b
                # Strings are a fifth apart on every instrument of the family; scordatura only blurs this measure.
                pitch = apart + 7 * (string_a - string_b)
                self._pairs.append(
                    _Pair(
                        string_a,
                        string_b,
                        finger_a,
                        finger_b,
                        apart,
                        same_string,
                        finger_a == finger_b,
                        (finger_a > 0) & (finger_b > 0),
                        apart,
                        ~same_string & (pitch == 0),
                    )
                )

    def any(self, test: Callable[[_Pair], Mask]) -> Mask:
        found = test(self._pairs[0])
        for pair in self._pairs[1:]:
            found = found | test(pair)
        return found

    def least(self, measure: Callable[[_Pair], Array]) -> Array:
        found = measure(self._pairs[0])
        for pair in self._pairs[1:]:
            found = np.minimum(found, measure(pair))
        return found

    def most(self, measure: Callable[[_Pair], Array]) -> Array:
        found = measure(self._pairs[0])
        for pair in self._pairs[1:]:
            found = np.maximum(found, measure(pair))
        return found


__all__ = ["Block", "forbidden", "holding", "moving", "own_position"]
