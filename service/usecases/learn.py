"""Learn a fingering hand from a folder of fingered scores, with the account of pieces left out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from rules import INSTRUMENTS, FingeredPiece, LearnedHand, Passage, learn_hand

from ..config.file_limits import DEFAULT_LIMITS, Limits
from ..config.hands import hand_file
from ..config.options import Options
from ..errors import ScoreError, Sentence, said
from ..messages.hands import FEW, HELPS, HELPS_NOT, LEARNED_FROM, MEETS, SCALE
from ..messages.message import Wording
from ..musicxml.formats.known_formats import ENDINGS
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
    remarks: tuple[Sentence, ...]

    def verdict(self, wording: Wording) -> str:
        """Return whether it helps, in a few sentences."""
        found, say = self.hand, wording.say
        learned, standard = wording.decimal(found.learned_share), wording.decimal(found.standard_share)
        sentences = [say(HELPS if found.helps else HELPS_NOT), say(MEETS, learned=learned, standard=standard)]
        if found.printed < _ENOUGH:
            sentences.append(say(FEW, count=str(found.printed)))
        return " ".join(sentences)

    def toml(self, wording: Wording) -> str:
        """Return the hand as a file."""
        source = wording.say(
            LEARNED_FROM,
            pieces=str(len(self.hand.pieces)),
            fingers=str(self.hand.printed),
            folder=printable_name(self.folder),
        )
        return hand_file(self.hand.hand, "\n".join([source, self.verdict(wording), wording.say(SCALE)]), wording)


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
    remarks: list[Sentence] = []
    for path in sorted(path for path in folder.rglob("*") if path.suffix.lower() in ENDINGS and path.is_file()):
        name = printable_name(str(path.relative_to(folder)))
        try:
            piece = FingeredPiece(name, _passages(path, options, limits))
        except ScoreError as fault:
            remarks.append(said("{file}: {reason}", file=name, reason=fault.sentence))
            continue
        if piece.printed:
            pieces.append(piece)
        else:
            remarks.append(said("{file}: no fingers are printed in it", file=name))
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
            said(
                "{folder} has {fingers} printed fingers in {scores} scores.",
                folder=printable_name(str(folder)),
                fingers=printed,
                scores=len(pieces),
            ),
            said(
                "Give a folder with at least {scores} fingered scores and {fingers} fingers together.",
                scores=FEWEST_PIECES,
                fingers=FEWEST_FINGERS,
            ),
        )
    notes = sum(len(passage.notes) for piece in pieces for passage in piece.passages)
    if notes > MOST_NOTES:
        raise ScoreError(
            "too-many",
            said(
                "The fingered scores have {notes} notes; {most} are the most that can be learned from at once.",
                notes=notes,
                most=MOST_NOTES,
            ),
            said("Choose some of them: beyond a few thousand fingers a hand hardly changes."),
        )


__all__ = ["Learned", "learn"]
