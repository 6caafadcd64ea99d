"""Scores out of the wild, damaged: each ends in a clean refusal, or in an answer that can be undone.

Source of the documents: the music21 package's corpus, read where it is installed.
"""

from __future__ import annotations

import os
import random
import re
from collections import Counter
from collections.abc import Callable

import pytest

from service.config.file_limits import DEFAULT_LIMITS
from service.config.options import Options, read_options
from service.musicxml.file.archive import open_archive
from tests.reference.test_corpus_bytes import documents
from tests.soak.figures import tell
from tests.soak.laws import check_annotate, check_bytes

MUTATIONS = int(os.environ.get("SOAK_MUTATIONS", "20000"))
_LARGEST = 120_000
_TAG = re.compile(rb"</?[a-z-]+")
EVERY_PART = read_options({"part": ["P1"], "printed": ["replace"]})


def _flip(data: bytearray, chance: random.Random) -> None:
    for _ in range(chance.randint(1, 8)):
        data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)


def _cut(data: bytearray, chance: random.Random) -> None:
    del data[chance.randrange(len(data)) :]


def _drop(data: bytearray, chance: random.Random) -> None:
    start = chance.randrange(len(data))
    del data[start : start + chance.randint(1, 400)]


def _double(data: bytearray, chance: random.Random) -> None:
    start = chance.randrange(len(data))
    data[start:start] = data[start : start + chance.randint(1, 400)]


def _swap_tags(data: bytearray, chance: random.Random) -> None:
    tags = [chance.choice(found) for found in [list(_TAG.finditer(data))] if found for _ in range(2)]
    if len(tags) == 2:
        one, other = sorted(tags, key=lambda found: found.start())
        if one.end() <= other.start():
            first, second = bytes(one[0]), bytes(other[0])
            data[other.start() : other.end()] = first
            data[one.start() : one.end()] = second


def _swap_lines(data: bytearray, chance: random.Random) -> None:
    lines = data.split(b"\n")
    here, there = chance.randrange(len(lines)), chance.randrange(len(lines))
    lines[here], lines[there] = lines[there], lines[here]
    data[:] = b"\n".join(lines)


_NUMBER = re.compile(rb">\s*-?\d+\s*<")


def _change_number(data: bytearray, chance: random.Random) -> None:
    found = list(_NUMBER.finditer(data))
    if found:
        one = chance.choice(found)
        odd = (b">0<", b">-1<", b">x<", b"><", b">99999999999999999999<", b">1e9<", b">0.1<")
        data[one.start() : one.end()] = chance.choice(odd)


KINDS: tuple[Callable[[bytearray, random.Random], None], ...] = (
    _flip, _cut, _drop, _double, _swap_tags, _swap_lines, _change_number,
)  # fmt: skip


def _score(data: bytes) -> bytes:
    return open_archive(data, DEFAULT_LIMITS).score if data[:2] == b"PK" else data


def run(count: int, seed: int) -> Counter[str]:
    """Damage documents in turn and check each; returns how often each outcome came."""
    chance = random.Random(seed)
    files = [data for path in documents() if len(data := path.read_bytes()) <= _LARGEST]
    archives = [data for data in files if data[:2] == b"PK"]
    # Damage to an archive ends mostly there, so four of five take the score out of it first.
    sources = [score for data in files if len(score := _score(data)) <= _LARGEST]
    outcomes: Counter[str] = Counter()
    for number in range(count):
        data = bytearray(chance.choice(sources) if number % 5 else chance.choice(archives))
        kind = KINDS[number % len(KINDS)]
        kind(data, chance)
        damaged = bytes(data)
        try:
            outcomes[check_bytes(damaged)] += 1
            if number % 4 == 0:
                outcomes["planned: " + check_annotate(damaged, EVERY_PART if number % 8 else Options())] += 1
        except Exception as error:
            error.add_note(f"seed {seed}, mutation {number}, {kind.__name__}")
            raise
    return outcomes


@pytest.mark.long
def test_damaged_scores() -> None:
    outcomes = run(210, seed=1)
    assert outcomes["read"] > 40
    assert sum(count for outcome, count in outcomes.items() if not outcome.startswith("planned")) == 210


@pytest.mark.slow
def test_twenty_thousand_damaged_scores() -> None:
    outcomes = run(MUTATIONS, seed=2026)
    tell("mutations", mutations=MUTATIONS, crashes=0, outcomes=dict(outcomes.most_common()))
