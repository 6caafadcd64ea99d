"""Measure, plan, fit, or fit with pieces left out; see the README in this folder."""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from rules import cheapest_route
from rules.cost.standard_terms import STANDARD, Kind
from rules.hand.level import ALL
from tests.benchmarks.fitting.agreement import Agreement, printed
from tests.benchmarks.fitting.lattice import Lattice, Numbers
from tests.benchmarks.fitting.likelihood import Bounds, fitted
from tests.benchmarks.fitting.pieces import Piece, load_pieces, read_score
from tests.benchmarks.fitting.search import Decoder, part_of_the_way

TERMS = STANDARD.terms
NOW = np.array([term.weight for term in TERMS])
SETTLED = {
    "steps up the fingerboard": 0.0625,
    "beyond seventh": 0.0625,
    "out of the frame": 0.3125,
    "tight grip": 0.25,
    "fifth laid across": 1.25,
    "chord out of order": 5.0,
    "fourth finger (trilled)": 6.0,
    "finger changed on a repeated note (bound)": 0.3125,
    "string changed on a repeated note (bound)": 0.4375,
    "string changed on a repeated note (bound, slurred)": 2.0,
    "slide of a whole step or the fourth (bound)": 1.0,
    "first finger low and back (bound)": -1.0,
    "open (ringing in a pedal figure)": -2.0,
    "high on a lower string (pedal figure with an open string)": -0.125,
    "crossing (ringing in a pedal figure)": 0.25,
    "string changed on a repeated note (bariolage)": -2.0,
}
"""Weights that common practice settles, about which these labels say next to nothing: they are not fitted."""
KEPT = {
    "octave outside the frame",
    "high on a lower string",
}
"""Weights that a fit near the present ones leaves alone, since some labels are of one taste (octaves with 1 and 3) or
follow a direction that the score does not print (sul G)."""
RESTORED = {"shift over an open string (bound on both sides)"}
"""Weights that are as before after such a fit, since a teaching case asks for it."""
NEAR, LEAST_SCALE = 60.0, 0.25
"""What it costs to double a weight, or a quarter if it is smaller, when weights are fitted near the present ones."""


def bounds() -> Bounds:
    """Return how far each weight may go: not at all if it is settled, else not beyond 0."""
    sides = ((0.0, None) if term.weight > 0 else (None, 0.0) for term in TERMS)
    return [(SETTLED[t.name],) * 2 if t.name in SETTLED else side for t, side in zip(TERMS, sides, strict=True)]


def guess() -> Numbers:
    """Return where a fit starts that is to know nothing of its pieces: a few round numbers, all else 0."""
    round_numbers = {
        "shift (bound)": 2.5,
        "shift over an open string (bound)": 1.5,
        "distance (bound)": 0.5,
        "half step (bound)": -0.75,
        "landing on the fourth (bound)": 0.5,
        "crossing (bound)": 1.0,
        "crossing (slurred)": 0.5,
        "skip (bound)": 1.5,
        "same finger hops (bound)": 2.0,
        "fifth taken over (bound)": 0.5,
        "first finger slides (bound)": 1.0,
        "other finger slides (bound)": 2.0,
        "stretch (bound)": 0.75,
        "squeeze (bound)": 1.0,
        "fourth finger": 0.5,
        "fourth finger (long)": 0.75,
        "open (long)": 2.0,
        "respelled": 1.0,
        "crossed grip": 0.5,
        "wide grip": 0.5,
        "half position": 0.25,
    }
    return np.array([(round_numbers | SETTLED).get(term.name, 0.0) for term in TERMS])


def measured(lattice: Lattice, chosen: Sequence[int], weights: Numbers) -> dict[str, Agreement]:
    """Return the agreement of some pieces."""
    decoder = Decoder(lattice, chosen)
    decoder.set(weights, doubted=True)
    return decoder.rows(decoder.met())


def refit(lattice: Lattice, chosen: Sequence[int], near: bool = False) -> Numbers:
    """Fit by likelihood, then part of the way by agreement; `near` the present weights, by likelihood alone."""
    if near:
        held = NEAR / np.maximum(np.abs(NOW), LEAST_SCALE) ** 2
        limits = [(w, w) if t.name in KEPT else b for w, t, b in zip(NOW, TERMS, bounds(), strict=True)]
        found: Numbers = np.round(fitted(lattice, chosen, NOW, limits, held, rounds=40) * 16) / 16
        found = np.where([term.name in RESTORED for term in TERMS], NOW, found)
        return np.where(np.abs(found) < 1 / 16, np.sign(NOW) / 16, found)
    limits = bounds()
    return part_of_the_way(lattice, chosen, fitted(lattice, chosen, guess(), limits, rounds=40), limits)


def folds(pieces: Sequence[Piece], together: Sequence[str]) -> list[list[int]]:
    """Return the pieces to leave out at a time."""
    found: dict[str, list[int]] = {}
    for index, piece in enumerate(pieces):
        key = next((prefix for prefix in together if piece.name.startswith(prefix)), piece.name)
        found.setdefault(key, []).append(index)
    return list(found.values())


def leave_out(lattice: Lattice, together: Sequence[str], near: bool) -> dict[str, Agreement]:
    """Return the agreement of each piece under weights fitted without it."""
    rows: dict[str, Agreement] = {}
    for left_out in folds(lattice.pieces, together):
        chosen = [i for i in range(len(lattice.pieces)) if i not in left_out]
        rows |= measured(lattice, left_out, refit(lattice, chosen, near))
    return dict(sorted(rows.items()))


def write_plans(scores: Path, out: Path) -> None:
    """Plan every score at level `all` and write NAME.plan.json."""
    out.mkdir(parents=True, exist_ok=True)
    for path in sorted(scores.glob("*.musicxml")):
        passage = read_score(path)
        route = cheapest_route(passage, ALL)
        rows = []
        for number, (event, option) in enumerate(zip(passage.events, route.options, strict=True)):
            grip = route.grip(number)
            for note in event.notes:
                if grip is not None and note.row is not None and note.id in option.slots:
                    stop = grip.stops[option.slots.index(note.id)]
                    row = {"index": note.row, "finger": stop.finger, "string": stop.string}
                    rows.append(row if stop.is_open else row | {"position": grip.position})
        (out / f"{path.stem}.plan.json").write_text(json.dumps(rows, indent=1), encoding="utf-8")


def main() -> None:
    """Read the command line and do it."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.fitting", description=__doc__)
    parser.add_argument("command", choices=("measure", "plan", "fit", "leave-out"))
    parser.add_argument("scores", type=Path, help="folder of NAME.musicxml")
    parser.add_argument("other", type=Path, help="folder of NAME.json with the labels; for `plan`: where to write")
    parser.add_argument("--together", nargs="*", default=(), help="beginnings of names that make one fold")
    parser.add_argument("--near", action="store_true", help="fit near the present weights, by likelihood alone")
    given = parser.parse_args()
    if given.command == "plan":
        write_plans(given.scores, given.other)
        return
    lattice = Lattice(load_pieces(given.scores, given.other), TERMS)
    every = range(len(lattice.pieces))
    if given.command == "leave-out":
        print("\n".join(printed(leave_out(lattice, given.together, given.near))))
        return
    weights = NOW if given.command == "measure" else refit(lattice, every, given.near)
    print("\n".join(printed(measured(lattice, every, weights))))
    if given.command == "fit":
        for term, weight in zip(TERMS, weights, strict=True):
            kind = "hold" if term.kind is Kind.HOLDING else "move"
            print(f"{kind}  {term.weight:8.4f} -> {weight:8.4f}  {term.name}")


if __name__ == "__main__":
    main()
