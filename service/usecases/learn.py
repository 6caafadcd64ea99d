"""Learn a fingering hand from a folder of fingered scores, with the account of pieces left out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from rules import INSTRUMENTS, FingeredPiece, LearnedHand, Passage, learn_hand

from ..config.file_limits import DEFAULT_LIMITS, Limits
from ..config.hands import hand_file
from ..config.options import Options
from ..errors import ScoreError
from ..musicxml.formats.table import ENDINGS
from ..musicxml.notation.part_list import choose_parts
from ..musicxml.read.reader import read_part
from .files import printable_name, read_file
from .scores import open_scores

FEWEST_PIECES = 2
FEWEST_FINGERS = 40
"""Printed fingers without which nothing can be said about a hand."""
MOST_NOTES = 50_000
"""Notes that are learned from; a note takes about 5 kB of memory."""
_ENOUGH = 200


@dataclass(frozen=True)
class Learned:
    """What was learned, from where, and what could not be read."""

    hand: LearnedHand
    folder: str
    remarks: tuple[str, ...]

    @property
    def verdict(self) -> str:
        """Whether it helps, in one or two sentences."""
        found = self.hand
        figures = (
            f"On pieces left out it meets {found.learned_share:.1f} % of the printed fingers, "
            f"the standard meets {found.standard_share:.1f} %."
        )
        few = f" {found.printed} fingers are few: take more pieces." if found.printed < _ENOUGH else ""
        if found.helps:
            return f"This hand helps. {figures}{few}"
        return f"This hand does not help: keep the standard. {figures}{few}"

    @property
    def toml(self) -> str:
        """The hand as a file."""
        count = len(self.hand.pieces)
        where = printable_name(self.folder)
        return hand_file(
            self.hand.hand,
            f"A fingering hand learned from {count} pieces with {self.hand.printed} printed fingers in {where}.\n"
            f"{self.verdict}\n1 is the standard, 2 counts twice as much, 0.5 half as much; from 0.25 to 4.",
        )


def learn(
    folder: Path,
    options: Options,
    limits: Limits = DEFAULT_LIMITS,
    progress: Callable[[int, int], None] = lambda done, of: None,
) -> Learned:
    """Return the hand of the scores in a folder and below it: all parts for the instrument that print fingers.

    Marks of our own say nothing about a hand, and are taken out first.

    Raises:
        ScoreError: `too-few-fingers`, if there are not two pieces with fingers, or `too-many`.
    """
    pieces: list[FingeredPiece] = []
    remarks: list[str] = []
    for path in sorted(path for path in folder.rglob("*") if path.suffix.lower() in ENDINGS and path.is_file()):
        name = printable_name(str(path.relative_to(folder)))
        try:
            piece = FingeredPiece(name, _passages(path, options, limits))
        except ScoreError as fault:
            remarks.append(f"{name}: {fault}")
            continue
        if piece.printed:
            pieces.append(piece)
        else:
            remarks.append(f"{name}: no fingers are printed in it")
    _check(pieces, folder)
    return Learned(learn_hand(pieces, progress), str(folder), tuple(remarks))


def _passages(path: Path, options: Options, limits: Limits) -> list[Passage]:
    instrument = INSTRUMENTS[options.instrument]
    return [
        read_part(score.document.root, listing.id, instrument, tempo=options.tempo).passage
        for score in open_scores(read_file(str(path)), options, limits, path.name)
        for listing in choose_parts(score.document.root, options.instrument, options.part)
    ]


def _check(pieces: Sequence[FingeredPiece], folder: Path) -> None:
    printed = sum(piece.printed for piece in pieces)
    if len(pieces) < FEWEST_PIECES or printed < FEWEST_FINGERS:
        raise ScoreError(
            "too-few-fingers",
            f"{printable_name(str(folder))} has {printed} printed fingers in {len(pieces)} scores.",
            f"Give a folder with at least {FEWEST_PIECES} fingered scores and {FEWEST_FINGERS} fingers together.",
        )
    notes = sum(len(passage.notes) for piece in pieces for passage in piece.passages)
    if notes > MOST_NOTES:
        raise ScoreError(
            "too-many",
            f"The fingered scores have {notes} notes; {MOST_NOTES} are the most that can be learned from at once.",
            "Choose some of them: beyond a few thousand fingers a hand hardly changes.",
        )


__all__ = ["Learned", "learn"]
