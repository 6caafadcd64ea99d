"""How far plans agree with the labels: by piece, over all labels, and as the mean of the pieces."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

import numpy as np

from tests.benchmarks.fitting.lattice import Floats, Lattice


class Agreement(NamedTuple):
    """Labels met and labels given."""

    met: int
    given: int

    @property
    def share(self) -> float:
        """Percent of the labels met."""
        return 100 * self.met / self.given


def label_counts(lattice: Lattice) -> list[int]:
    """Return how many labels each piece has."""
    return [len(piece.truth) for piece in lattice.pieces]


def credits_of(lattice: Lattice, players: float = 0.0) -> Floats:
    """Return the labels that each grip meets; `players` is the part of each label given by how many players agree."""
    found: Floats = np.zeros((len(lattice.events), lattice.size), dtype=np.float32)
    for step, (index, event) in enumerate(lattice.events):
        piece, option = lattice.pieces[index], lattice.option(step)
        for note in piece.passage.events[event].notes:
            label = piece.truth.get(note.row) if note.row is not None else None
            if label is None or note.row is None or note.id not in option.slots:
                continue
            others = [hand[note.row] for hand in piece.hands if note.row in hand]
            slot = option.slots.index(note.id)
            for state, grip in enumerate(option.grips):
                finger = grip.stops[slot].finger
                alike = sum(finger in other.fingers for other in others) / max(len(others), 1)
                found[step, state] += (1 - players) * (finger in label.fingers) + players * alike
    return found


def printed(rows: Mapping[str, Agreement]) -> Iterable[str]:
    """Yield a line for each piece, and the two sums."""
    for name, row in rows.items():
        yield f"{name:32} {row.met:5} of {row.given:5}  {row.share:5.1f} %"
    met, given = sum(row.met for row in rows.values()), sum(row.given for row in rows.values())
    mean = sum(row.share for row in rows.values()) / len(rows)
    yield f"{'all labels':32} {met:5} of {given:5}  {100 * met / given:5.1f} %"
    yield f"{'mean of the pieces':32} {'':14}  {mean:5.1f} %"
