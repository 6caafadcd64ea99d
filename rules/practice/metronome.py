"""The marks of a metronome, and steps on it from slow to the tempo of a piece.

Source: the scale of mechanical metronomes (common practice): by twos to 60, by threes to 72, by fours to 120, by sixes
to 144, by eights to 208.
"""

from __future__ import annotations

from bisect import bisect_right

MARKS = (*range(40, 60, 2), *range(60, 72, 3), *range(72, 120, 4), *range(120, 144, 6), *range(144, 209, 8))
"""Beats a minute."""
SLOWEST = MARKS[0]
"""No mark is slower: what is slower is counted in smaller values."""
PACES = (0.5, 0.6, 0.72, 0.86, 1.0)
"""Steps from slow to the tempo of the piece (common practice: about a fifth faster each time)."""


def mark_near(tempo: float) -> int:
    """Return the mark nearest to a tempo in beats a minute; of two the slower one."""
    nearest: int = min(MARKS, key=lambda mark: (abs(mark - tempo), mark))
    return nearest


def tempo_steps(full: float, own_mark: bool = False, slowest: float = 0.0) -> tuple[int, ...]:
    """Return the steps up to a tempo, in beats a minute; a tempo slower than every mark is the only step.

    Args:
        full: the tempo of the piece.
        own_mark: the piece prints it, and it is the last step even if no metronome has it; otherwise the last step is
            the quickest mark that is no quicker.
        slowest: no step is slower than the mark near it.
    """
    rounded = round(full)
    last = rounded if own_mark or rounded < SLOWEST else MARKS[bisect_right(MARKS, rounded) - 1]
    slower = {mark_near(max(full * pace, slowest)) for pace in PACES[:-1]}
    return (*sorted(step for step in slower if step < last), last)


__all__ = ["MARKS", "PACES", "SLOWEST", "mark_near", "tempo_steps"]
