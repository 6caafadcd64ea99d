"""What a grip asks of the hand, and what leads from one grip to the next, measured; numbers only, no judgement.

Everything here works on whole blocks of grips at once (see `grip_arrays`). `holding` looks at single grips (shape U,
K); `moving` at every pair of a grip of one block and a grip of the next (shape U, Ka, Kb). All quantities are whole
numbers, halves or quarters, so that sums of costs stay exact. The terms in `standard_terms` name them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ..hand.grip import along
from .grip_arrays import Array, Block, Mask

NARROWEST_APART = np.array([0.0, 1.0, 2.0, 4.0, 0.0])
WIDEST_APART = np.array([0.0, 2.0, 4.0, 5.0, 0.0])
"""Semitones between two fingers 0, 1, 2, 3 apart in a relaxed frame (common practice); the last is never used."""
NATURAL_APART = np.array([0.0, 2.0, 3.0, 5.0, 0.0])
"""Semitones between two fingers in the usual patterns: neighbours a whole step, the frame a fourth."""


def width(semitones: Array) -> Array:
    """Return how far along the string places lie (see `hand.along`), rounded to quarters."""
    places: Array = np.round(np.asarray(along(semitones)) * 4) / 4  # type: ignore[arg-type]
    return places


def _any_stopped(finger: Array) -> Mask:
    stopped: Mask = np.asarray((finger > 0).any(-1))
    return stopped


def holding(block: Block) -> dict[str, Array]:
    """Measure every grip by itself."""
    finger, string, semitones = block.finger, block.string, block.semitones
    stopped = finger > 0
    position = np.where(stopped.any(-1), block.position, 1)
    own = block.letters - finger + 1
    single = finger.shape[-1] == 1
    measured = {
        "away from first": (position != 1) & (position > 0),
        "hand away from first": block.position > 1,
        "steps up the fingerboard": np.maximum(position - 1, 0),
        "beyond third": np.maximum(position - 3, 0),
        "beyond seventh": np.maximum(position - 7, 0),
        "second position": position == 2,
        "third position": position == 3,
        "half position": position == 0,
        "third finger": (finger == 3).sum(-1),
        "fourth finger": (finger == 4).sum(-1),
        # Beside a stopped note, or as a pair, an open string sticks out less than alone.
        "open": (~stopped).any(-1) * (1.0 if single else 0.5),
        "open string in a chord": (~stopped).any(-1) * (0.5 if finger.shape[-1] > 2 else 0.0),
        "out of the frame": np.abs(block.excess).sum(-1),
        # In first position the low first finger is an everyday one, whatever its letter.
        "respelled": (
            stopped
            & (own != block.position[..., None])
            & ~((finger == 1) & (own == 0) & (block.position[..., None] == 1))
        ).sum(-1),
        "inner finger respelled": (
            stopped
            & (finger > 1)
            & (own != block.position[..., None])
            & ~((finger == 4) & (own > block.position[..., None]))
        ).sum(-1),
        "fourth reaching on a lower string": ((finger == 4) & (string > 1) & (own > block.position[..., None])).sum(-1),
        "reach for the octave": (
            (finger.shape[-1] == 1)
            & (finger == 4)
            & (semitones == 12)
            & (string == 1)
            & (own > block.position[..., None])
        ).sum(-1),
        "first finger reaching back": _reaching_back(block, own),
        "high on a lower string": (np.maximum(semitones - 9, 0) * (string > 1)).sum(-1) / 2,
    }
    measured |= _within_grip(finger, string, semitones)
    return {name: np.asarray(value, dtype=np.float64) for name, value in measured.items()}


def _reaching_back(block: Block, own: Array) -> Array:
    """The first finger on a letter below its own, away from first position; more for every semitone off the frame."""
    back = (block.finger == 1) & (own < block.position[..., None]) & (block.position[..., None] > 1)
    reach: Array = (back * (1 + np.maximum(-block.excess, 0))).sum(-1)
    return reach


def _within_grip(finger: Array, string: Array, semitones: Array) -> dict[str, Array]:
    """How the fingers of one grip lie to each other; all zero for single notes."""
    shape = finger.shape[:-1]
    crossed, wide, tight, barred, turned, inverted, octave = (np.zeros(shape) for _ in range(7))
    places = width(semitones)
    for i in range(finger.shape[-1]):
        for j in range(i + 1, finger.shape[-1]):
            both = (finger[..., i] > 0) & (finger[..., j] > 0)
            apart = np.abs(finger[..., i] - finger[..., j]).astype(int)
            sign = np.where(finger[..., i] < finger[..., j], 1, -1)
            two = both & (apart > 0)
            wide = wide + np.where(
                two, np.maximum(sign * (places[..., j] - places[..., i]) - WIDEST_APART[apart], 0), 0
            )
            span = sign * (semitones[..., j] - semitones[..., i])
            tight = tight + np.where(two, np.maximum(NARROWEST_APART[apart] - span, 0), 0)
            barred = barred + (both & (apart == 0))
            # Stops come from the lowest pitch: that of a chord that is broken belongs on the lowest string.
            turned = turned + ((finger.shape[-1] > 2) & (string[..., i] < string[..., j]))
            crossed = crossed + (two & (sign * (string[..., i] - string[..., j]) < 0))
            # Stops come from the lowest pitch.
            inverted = inverted + (~both & (string[..., i] < string[..., j]))
            apart_in_pitch = semitones[..., j] - semitones[..., i] + 7 * (string[..., i] - string[..., j])
            framed = (finger[..., i] == 1) & (finger[..., j] == 4)
            octave = octave + (both & (apart_in_pitch == 12) & (string[..., i] - string[..., j] == 1) & ~framed)
    return {
        "crossed grip": crossed,
        "wide grip": wide,
        "tight grip": tight,
        "fifth laid across": barred,
        "chord out of order": turned,
        "open string above its neighbour's pitch": inverted,
        "octave outside the frame": octave,
    }


def moving(a: Block, b: Block) -> dict[str, Array]:
    """Measure the way from every grip of `a` to every grip of `b`."""
    pairs = _Pairs(a, b)
    travel = b.position[:, None, :] - a.position[:, :, None]
    moved = travel != 0
    open_a = ~_any_stopped(a.finger)[:, :, None]
    open_b = ~_any_stopped(b.finger)[:, None, :]
    covered = open_a | open_b
    distance = np.abs(travel)
    crossing = np.where(pairs.any(lambda p: p.same_string), 0, pairs.least(lambda p: np.abs(p.string_a - p.string_b)))
    crosses = crossing > 0
    shift = moved & ~covered
    still = ~moved
    # What leads and what lands is the upper stop: the lower one of a double stop follows.
    leaving, landing = a.finger[:, :, None, -1] * shift, b.finger[:, None, :, -1] * shift
    alike = pairs.any(lambda p: p.same_string & p.same_finger & (np.abs(p.rise) == 1))
    slides = pairs.any(lambda p: p.slides & (p.finger_a > 1))
    first_slides = pairs.any(lambda p: p.slides & (p.finger_a == 1))
    neighbours = pairs.any(lambda p: ~p.same_string & p.stopped & (np.abs(p.finger_a - p.finger_b) == 1))
    repeat = pairs.any(lambda p: p.same_string & (p.rise == 0) & p.stopped & ~p.same_finger)
    values = {
        "shift": shift,
        "shift over an open string": moved & covered,
        "led by the first": shift & (((travel > 0) & (landing == 1)) | ((travel < 0) & (leaving == 1))),
        "leaving first position": (a.position[:, :, None] <= 1) & (b.position[:, None, :] > 1),
        "distance": np.where(shift, distance - 1, 0),
        "further than two positions": np.where(moved, np.maximum(distance - 2, 0), 0),
        "distance over an open string": np.where(moved & covered, distance - 1, 0),
        "half step": shift & alike,
        "between odd positions": shift & (distance == 2) & (b.position[:, None, :] % 2 == 1),
        "shift across strings": shift & crosses,
        "landing on the third": landing == 3,
        "landing on the fourth": landing == 4,
        "leaving the first upwards": (leaving == 1) & (travel > 0),
        "down to a lower finger": shift & (travel < 0) & (landing < leaving),
        "against the line": shift & pairs.any(lambda p: p.same_string & p.stopped & (p.rise * travel < 0)),
        "crossing": crosses,
        "crossing up": crosses & (b.string[:, None, :, -1] < a.string[:, :, None, -1]),
        "crossing while the hand stays": crosses & still,
        "skip": np.maximum(crossing - 1, 0),
        "crossing to open": crosses & open_b,
        "crossing from the fourth": crosses & (a.finger[:, :, None, -1] == 4),
        "crossing between neighbouring fingers": crosses & still & neighbours,
        "same finger hops": still & pairs.any(lambda p: p.stopped & p.same_finger & ~p.same_string & (p.apart != 0)),
        "fifth taken over": still & pairs.any(lambda p: p.stopped & p.same_finger & ~p.same_string & (p.apart == 0)),
        "first finger slides": still & first_slides,
        "first finger low and back": still
        & (a.position[:, :, None] == 1)
        & pairs.any(lambda p: p.slides & (p.finger_a == 1) & (np.abs(p.rise) == 1)),
        "other finger slides": still & slides,
        "slide of a whole step or the fourth": still & pairs.any(lambda p: p.slides_far),
        "stretch": np.where(still, pairs.most(_Pair.stretch), 0),
        "squeeze": np.where(still, pairs.most(_Pair.squeeze), 0),
        "off the natural span": np.where(still, pairs.most(_Pair.off_natural), 0),
        "finger changed on a repeated note": repeat,
        "shift on a repeated note": shift & repeat,
        "string changed on a repeated note": pairs.any(lambda p: p.same_pitch_elsewhere),
    }
    return {name: np.asarray(value, dtype=np.float64) for name, value in values.items()}


def forbidden(a: Block, b: Block) -> Mask:
    """The hand leaves an open string while it sounds, so it never moves towards one; and grips that do not exist.

    Only a hand that cannot wait where it is (higher up than a hand rests, or beyond the level) moves at once: also
    where a finger would have the note up there.
    """
    same = a.position[:, :, None] == b.position[:, None, :]
    open_b = ~_any_stopped(b.finger)[:, None, :]
    can_wait = (same & open_b & b.valid[:, None, :]).any(-1, keepdims=True)
    never: Mask = (~same & can_wait & open_b) | ~a.valid[:, :, None] | ~b.valid[:, None, :]
    return never


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
    wide: Array
    same_pitch_elsewhere: Mask

    @property
    def slides(self) -> Mask:
        """One finger takes two places on one string."""
        sliding: Mask = self.stopped & self.same_finger & self.same_string & (self.rise != 0)
        return sliding

    @property
    def slides_far(self) -> Mask:
        """It does so over more than a half step, or it is the fourth."""
        far: Mask = self.slides & ((np.abs(self.rise) > 1) | (self.finger_a == 4))
        return far

    def _span(self, rise: Array) -> tuple[NDArray[np.intp], Array, Mask]:
        apart = np.abs(self.finger_b - self.finger_a).astype(np.intp)
        span = np.where(self.finger_b > self.finger_a, rise, -rise)
        return apart, span, self.stopped & (apart > 0)

    def stretch(self) -> Array:
        apart, span, counts = self._span(self.wide)
        return np.where(counts, np.maximum(span - WIDEST_APART[apart], 0), 0)

    def squeeze(self) -> Array:
        apart, span, counts = self._span(self.apart)
        slack = np.where(self.same_string, 0, 1)
        return np.where(counts, np.maximum(NARROWEST_APART[apart] - slack - span, 0), 0)

    def off_natural(self) -> Array:
        apart, span, counts = self._span(self.apart)
        return np.where(counts & self.same_string, np.abs(span - NATURAL_APART[apart]), 0)


class _Pairs:
    """All pairs of stops between two blocks; most blocks hold single notes and so have one pair."""

    def __init__(self, a: Block, b: Block) -> None:
        self._pairs = []
        width_a, width_b = width(a.semitones), width(b.semitones)
        for i in range(a.finger.shape[-1]):
            for j in range(b.finger.shape[-1]):
                string_a, string_b = a.string[:, :, None, i], b.string[:, None, :, j]
                finger_a, finger_b = a.finger[:, :, None, i], b.finger[:, None, :, j]
                apart = b.semitones[:, None, :, j] - a.semitones[:, :, None, i]
                same_string = string_a == string_b
                # Strings are a fifth apart on every instrument of the family; scordatura only blurs this quantity.
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
                        width_b[:, None, :, j] - width_a[:, :, None, i],
                        ~same_string & (pitch == 0),
                    )
                )

    def any(self, test: Callable[[_Pair], Mask]) -> Mask:
        found = test(self._pairs[0])
        for pair in self._pairs[1:]:
            found = found | test(pair)
        return found

    def least(self, quantity: Callable[[_Pair], Array]) -> Array:
        found = quantity(self._pairs[0])
        for pair in self._pairs[1:]:
            found = np.minimum(found, quantity(pair))
        return found

    def most(self, quantity: Callable[[_Pair], Array]) -> Array:
        found = quantity(self._pairs[0])
        for pair in self._pairs[1:]:
            found = np.maximum(found, quantity(pair))
        return found


__all__ = ["forbidden", "holding", "moving"]
