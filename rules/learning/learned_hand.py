"""Eight scales fitted to fingered pieces, and how many fingers they meet in pieces that were left out.

The scales are moved one at a time, in steps of a fifth, as long as the printed fingers become likelier than the step
away from the standard costs. Whether that helps is measured on pieces that the scales have not seen.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import log, sqrt

from ..cost.fingering_hand import SCALES, STANDARD_HAND, FingeringHand
from .fingered_piece import FingeredPiece

VALUES = (0.3, 0.35, 0.4, 0.5, 0.6, 0.7, 0.85, 1.0, 1.2, 1.4, 1.7, 2.0, 2.4, 2.9, 3.4)
"""What a scale can be: steps of about a fifth."""
HOLD_BACK = 12.0
"""What it costs, in logarithms of likelihood, to be 2.7 times the standard: a few fingers do not make a hand."""
ROUNDS = 8
GROUPS = 10
"""Times that the scales are fitted without some pieces, at most."""
Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A piece, its printed fingers, and how many of them are met by the standard and by scales fitted without it."""

    name: str
    printed: int
    standard: int
    learned: int


@dataclass(frozen=True, slots=True)
class LearnedHand:
    """What was learned, and what it is worth on pieces left out."""

    hand: FingeringHand
    pieces: tuple[LeftOut, ...]

    @property
    def printed(self) -> int:
        """All printed fingers."""
        return sum(piece.printed for piece in self.pieces)

    @property
    def standard_share(self) -> float:
        """Percent of the printed fingers that the standard meets."""
        return 100 * sum(piece.standard for piece in self.pieces) / self.printed

    @property
    def learned_share(self) -> float:
        """Percent that is met by scales which have not seen the piece."""
        return 100 * sum(piece.learned for piece in self.pieces) / self.printed

    @property
    def helps(self) -> bool:
        """True if more fingers are met than by the standard, by more than one standard error of the pieces."""
        gains = [piece.learned - piece.standard for piece in self.pieces]
        mean = sum(gains) / len(gains)
        spread = sqrt(sum((gain - mean) ** 2 for gain in gains) * len(gains) / (len(gains) - 1))
        return sum(gains) > spread


def learn_hand(pieces: Sequence[FingeredPiece], progress: Progress = lambda done, of: None) -> LearnedHand:
    """Return the hand that fits the pieces, with the account of pieces left out.

    Args:
        pieces: at least two, each with a printed finger.
        progress: called with how many of the fits are done, and of how many.
    """
    groups = [pieces[start::GROUPS] for start in range(min(GROUPS, len(pieces)))]
    rows: dict[str, LeftOut] = {}
    hand = fitted(pieces)
    for number, left_out in enumerate(groups):
        progress(number + 1, len(groups) + 1)
        found = fitted([piece for piece in pieces if piece not in left_out])
        for piece in left_out:
            rows[piece.name] = LeftOut(piece.name, piece.printed, piece.met(STANDARD_HAND), piece.met(found))
    progress(len(groups) + 1, len(groups) + 1)
    return LearnedHand(hand, tuple(rows[piece.name] for piece in pieces))


def fitted(pieces: Sequence[FingeredPiece]) -> FingeringHand:
    """Return the scales of greatest likelihood, held back towards the standard; one step of one scale at a time."""
    hand = STANDARD_HAND
    best = _value(pieces, hand)
    for _ in range(ROUNDS):
        before = hand
        for name in SCALES:
            moved = True
            while moved:
                moved = False
                for nearby in _beside(hand, name):
                    value = _value(pieces, nearby)
                    if value > best:
                        hand, best, moved = nearby, value, True
                        break
        if hand == before:
            break
    return hand


def _value(pieces: Sequence[FingeredPiece], hand: FingeringHand) -> float:
    away = sum(log(scale) ** 2 for scale in hand.scales.values())
    return sum(piece.log_likelihood(hand) for piece in pieces) - HOLD_BACK * away


def _beside(hand: FingeringHand, name: str) -> list[FingeringHand]:
    place = VALUES.index(hand.scales[name])
    return [replace(hand, **{name: VALUES[p]}) for p in (place + 1, place - 1) if 0 <= p < len(VALUES)]


__all__ = ["LearnedHand", "LeftOut", "fitted", "learn_hand"]
