"""Scores with human fingerings, read for fitting."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import NamedTuple

from rules import Passage
from rules.candidates.candidates import Candidates, candidates
from rules.hand.level import ALL
from service.musicxml.file.container import open_document
from service.musicxml.read.reader import read_part


class Label(NamedTuple):
    """What one hand did on one note: the fingers that count as agreement, and the string where it is known."""

    fingers: frozenset[int]
    string: int | None


Hand = Mapping[int, Label]
"""The labels of one player (or edition) by row of the plan."""


@dataclass(frozen=True)
class Piece:
    """A passage, what is printed or the majority did (`truth`), and what each player did."""

    name: str
    passage: Passage
    truth: Hand
    hands: tuple[Hand, ...]

    @cached_property
    def options(self) -> tuple[Candidates, ...]:
        """The grips that come into question, nothing decided, every position allowed."""
        return candidates(self.passage, ALL, {})


def read_score(path: Path) -> Passage:
    """Return the first part of a score."""
    root = open_document(path.read_bytes()).root
    part = root.find("part")
    if part is None:
        raise ValueError(f"{path}: no part in it")
    return read_part(root, part.get("id", "")).passage


def load_pieces(scores: Path, labels: Path) -> list[Piece]:
    """Return the pieces that have both a score and labels, by name."""
    found = []
    for path in sorted(labels.glob("*.json")):
        score = scores / f"{path.stem}.musicxml"
        if not score.exists():
            raise FileNotFoundError(f"{path} has no score {score}")
        rows = json.loads(path.read_text(encoding="utf-8"))
        truth = _hand({row["note_index"]: row for row in rows})
        players = max((len(row.get("experts", ())) for row in rows), default=0)
        hands = [
            _hand({row["note_index"]: row["experts"][i] for row in rows if len(row.get("experts", ())) > i})
            for i in range(players)
        ]
        found.append(Piece(path.stem, read_score(score), truth, tuple(hands) or (truth,)))
    return found


def _hand(rows: Mapping[int, Mapping[str, object]]) -> Hand:
    labels = {}
    for index, row in rows.items():
        finger, others, string = row.get("finger"), row.get("finger_alts", ()), row.get("string")
        if isinstance(finger, int) and isinstance(others, list | tuple):
            labels[index] = Label(frozenset({finger, *others}), string if isinstance(string, int) else None)
    return labels
