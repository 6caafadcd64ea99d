"""The finger that guides the hand through a shift: it stays lightly on its string while the hand travels.

Common practice. On one string the finger that was down leads; on the way up to a lower finger it would be carried past
the goal, so the new one leads. Across strings the finger that was down glides on its own string, and the bow crosses
afterwards: the first finger, since it is where the hand is, or the finger that plays next. Any other would only be in
the way. A finger that is stretched out of the hand, or only touches a harmonic, does not stand where the hand is:
the first finger leads instead.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import NamedTuple

from ..hand.grip import Grip, Stop, frame_excess, outward


class Guide(NamedTuple):
    """A finger and the string that it stays on; `plays`: it plays both before and after the shift."""

    finger: int
    string: int
    plays: bool


def guide_on_one_string(left: Grip, reached: Grip, up: bool, touching: Collection[int] = ()) -> Guide | None:
    """Return the finger that leads on a string that is played before and after; None if the hand changes strings.

    Args:
        left: the last grip before the hand moves.
        reached: the first one in the new position.
        up: the hand goes up.
        touching: strings on which the last grip only touches a harmonic.
    """
    pairs = [(a, b) for a in left.stops for b in reached.stops if a.string == b.string and a.finger and b.finger]
    for before, after in pairs:
        if before.finger == after.finger and _stands(before, left, touching):
            return Guide(before.finger, before.string, True)
    for before, after in pairs:
        if up and after.finger < before.finger:
            return Guide(after.finger, after.string, False)
        return _led_by(before, left, touching)
    return None


def guide_across_strings(left: Grip, reached: Grip, touching: Collection[int] = ()) -> Guide | None:
    """Return the finger that glides on the string that is left, the nearest one to the strings that follow.

    None if it is neither the first finger nor one that plays after the shift.
    """
    down = [stop for stop in left.stops if not stop.is_open]
    goals = [stop.string for stop in reached.stops if not stop.is_open]
    if not down or not goals:
        return None
    nearest = min(down, key=lambda stop: (min(abs(stop.string - goal) for goal in goals), stop.finger))
    guide = _led_by(nearest, left, touching)
    return guide if guide.finger in {1, *(stop.finger for stop in reached.stops)} else None


def _led_by(stop: Stop, grip: Grip, touching: Collection[int]) -> Guide:
    return Guide(stop.finger if _stands(stop, grip, touching) else 1, stop.string, False)


def _stands(stop: Stop, grip: Grip, touching: Collection[int]) -> bool:
    """Whether a finger presses its string within the hand; the first finger is where the hand is, high or low."""
    if stop.string in touching:
        return False
    reaches = outward(stop, grip.position) or frame_excess(stop.semitones, stop.finger, grip.position) > 0
    return stop.finger == 1 or not reaches


__all__ = ["Guide", "guide_across_strings", "guide_on_one_string"]
