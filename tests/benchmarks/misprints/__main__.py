"""Measures how many planted misprints the check finds, and what it reports where nothing is wrong.

    python -m tests.benchmarks.misprints digits [EVERY]            # exchanged and moved digits in music21's corpus
    python -m tests.benchmarks.misprints kinds [EVERY]             # every other kind, read from MusicXML
    python -m tests.benchmarks.misprints players SCORES LABELS     # false alarms in parts that players fingered

`EVERY` takes only every so many-th part. Everything is seeded: the same figures come out each time.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

from tests.benchmarks.misprints.measure import caught, found_in, found_of_kinds, reported_rules
from tests.benchmarks.misprints.other_kinds import FURTHER, KINDS, TYPESETTERS
from tests.benchmarks.misprints.parts import FingeredPart, corpus_parts, players_parts, without_words
from tests.benchmarks.misprints.planted_slips import exchanged, moved


def digits(every: int) -> None:
    """Print the share of planted digits that is found, with our words and strings beside them and without."""
    parts = list(corpus_parts(every))
    for bare in (False, True):
        passages = [(part.name, without_words(part.passage) if bare else part.passage) for part in parts]
        for plant in (exchanged, moved):
            result = caught(passages, plant, seed=1)
            name = f"{plant.__name__}, {'digits alone' if bare else 'as marked'}"
            print(f"{name}: {result.caught} of {result.planted} ({100 * result.share:.1f} %)")
    _print_reported("the same parts without a slip", parts)


def kinds(every: int) -> None:
    """Print for every other kind of misprint how many were planted and found."""
    parts = list(corpus_parts(every))
    for planted in (KINDS, FURTHER, TYPESETTERS):
        found = found_of_kinds(parts, 1, planted)
        for name, result in found.items():
            print(f"{name}: {result.caught} of {result.planted}")
        caught_of_all = sum(result.caught for result in found.values())
        print(f"together: {caught_of_all} of {sum(result.planted for result in found.values())}")


def players(scores: Path, labels: Path) -> None:
    """Print what is reported in parts that players fingered."""
    for strings in (False, True):
        _print_reported(
            f"players, {'with' if strings else 'without'} strings", players_parts(scores, labels, strings=strings)
        )


def _print_reported(name: str, parts: Iterable[FingeredPart]) -> None:
    listed = list(parts)
    labels = sum(bool(note.printed.fingers) for part in listed for note in part.passage.notes)
    counts = Counter(rule for part in listed for rule in reported_rules(found_in(part.passage)))
    print(f"{name}: {len(listed)} parts, {labels} digits, {counts.total()} findings {dict(counts.most_common())}")


if __name__ == "__main__":
    command, *rest = sys.argv[1:] or [""]
    if command == "digits":
        digits(int(rest[0]) if rest else 1)
    elif command == "kinds":
        kinds(int(rest[0]) if rest else 1)
    elif command == "players" and len(rest) == 2:
        players(Path(rest[0]), Path(rest[1]))
    else:
        sys.exit(__doc__)
