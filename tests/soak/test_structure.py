"""Scores whose elements were dropped, doubled, swapped, nested, moved or filled with absurd values, and texts split.

Each ends in a refusal that blames the file, or in an answer that can be undone, with every finger on its note. Some are
also reviewed, practised and drawn, in UTF-16 and in archives too. None takes longer than its size explains.
Source of the documents: the music21 package's corpus, read where it is installed, and the sample scores.
"""

from __future__ import annotations

import os
import random
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest
from lxml import etree

from service.config.file_limits import DEFAULT_LIMITS
from service.config.options import read_options
from service.musicxml.file.archive import open_archive
from tests.reference.test_corpus_bytes import documents
from tests.small_archives import small_archive
from tests.soak.figures import tell
from tests.soak.laws import check_annotate
from tests.soak.planner_jobs import PlannerJobs

MUTANTS = int(os.environ.get("SOAK_MUTANTS", "20000"))
_LARGEST = 60_000
_SECONDS = 10.0
"""CPU time to annotate the largest of these scores and to check the answer: forty times what it takes."""
_OTHER_JOBS = 6  # every so many-th mutant is also given to the other jobs of the service
SAMPLES = Path(__file__).resolve().parents[2] / "sample_scores"
OPTIONS = [
    read_options({"part": ["P1"], "level": [level], "printed": [printed]})
    for level, printed in (("first-and-third", "keep"), ("all", "replace"), ("to-fifth", "ignore"))
]
ABSURD = ("", "0", "-1", "1e308", "NaN", "99999999999999999999", "0.0000001", "x", " 3 ", "-7", "255", "\u0663", "1/0")
Element = etree._Element


def _any(root: Element, chance: random.Random) -> Element:
    return chance.choice([element for element in root.iter("*") if element is not root])


def _drop(root: Element, chance: random.Random) -> None:
    element = _any(root, chance)
    parent = element.getparent()
    if parent is not None:
        parent.remove(element)


def _copy(element: Element) -> Element:
    return etree.fromstring(etree.tostring(element, with_tail=False))


def _double(root: Element, chance: random.Random) -> None:
    element = _any(root, chance)
    element.addnext(_copy(element))


def _swap(root: Element, chance: random.Random) -> None:
    one, other = _any(root, chance), _any(root, chance)
    copies = _copy(one), _copy(other)
    for old, new in zip((one, other), reversed(copies), strict=True):
        parent = old.getparent()
        if parent is not None and root in old.iterancestors():
            parent.replace(old, new)


def _move(root: Element, chance: random.Random) -> None:
    element = _any(root, chance)
    copy = _copy(element)
    chance.choice((Element.addnext, Element.addprevious))(_any(root, chance), copy)
    parent = element.getparent()
    if parent is not None:
        parent.remove(element)


def _move_among_siblings(root: Element, chance: random.Random) -> None:
    parent = chance.choice([element for element in root.iter("*") if len(element)])
    parent.insert(chance.randrange(len(parent) + 1), chance.choice(parent))


def _split_text(root: Element, chance: random.Random) -> None:
    """Put a comment, an instruction or CDATA, some with markup inside, into the middle of a text."""
    element = chance.choice([element for element in root.iter("*") if len(element) == 0])
    text = element.text or ""
    cut = chance.randint(0, len(text))
    if chance.random() < 0.2:
        element.text = etree.CDATA(text + chance.choice(("", "<note>", "</note>")))
        return
    between = chance.choice((etree.Comment("<note></note>"), etree.Comment(""), etree.PI("handframe", "begin"),
                             etree.PI("handframe", "end"), etree.PI("x", "<note/>")))  # fmt: skip
    element.text, between.tail = text[:cut], text[cut:]
    element.append(between)


def _nest(root: Element, chance: random.Random) -> None:
    _any(root, chance).append(_copy(_any(root, chance)))


def _wrap(root: Element, chance: random.Random) -> None:
    element = _any(root, chance)
    parent = element.getparent()
    if parent is not None:
        around = etree.Element(chance.choice(["note", "measure", "part", "backup", "chord", "technical", "x"]))
        parent.replace(element, around)
        around.append(element)


def _absurd_value(root: Element, chance: random.Random) -> None:
    leaves = [element for element in root.iter("*") if len(element) == 0]
    chance.choice(leaves).text = chance.choice(ABSURD)


def _absurd_attribute(root: Element, chance: random.Random) -> None:
    having = [element for element in root.iter("*") if element.attrib]
    if having:
        element = chance.choice(having)
        element.set(chance.choice(list(element.attrib)), chance.choice(ABSURD))


def _rename(root: Element, chance: random.Random) -> None:
    _any(root, chance).tag = _any(root, chance).tag


KINDS: tuple[Callable[[Element, random.Random], None], ...] = (
    _drop, _double, _swap, _move, _move_among_siblings, _nest, _wrap, _split_text,
    _absurd_value, _absurd_value, _absurd_attribute, _rename,
)  # fmt: skip


def sources() -> list[bytes]:
    """The samples and the small documents of the corpus, as plain XML."""
    files = [path.read_bytes() for path in (*sorted(SAMPLES.glob("*.m[ux]*")), *documents())]
    plain = [open_archive(data, DEFAULT_LIMITS).score if data[:2] == b"PK" else data for data in files]
    return [data for data in plain if len(data) <= _LARGEST]


def _file(root: Element, chance: random.Random) -> bytes:
    """A mutant as a file: mostly in ASCII, sometimes in another encoding or in an archive."""
    kind = chance.random()
    if kind < 0.1:
        return small_archive(etree.tostring(root, encoding="UTF-8", xml_declaration=True))
    if kind < 0.3:
        encoding = chance.choice(("UTF-8", "UTF-16", "ISO-8859-1", "windows-1252"))
        return etree.tostring(root, encoding=encoding, xml_declaration=True)
    return etree.tostring(root)


def run(count: int, seed: int) -> tuple[Counter[str], dict[str, object]]:
    """Change documents in turn and check each; returns how often each outcome came, and the longest times."""
    chance = random.Random(seed)
    trees = sources()
    outcomes: Counter[str] = Counter()
    slowest = 0.0
    others = PlannerJobs()
    try:
        for number in range(count):
            root = etree.fromstring(chance.choice(trees))
            for _ in range(chance.randint(1, 3)):
                if sum(1 for _ in root.iter("*")) > 1:
                    chance.choice(KINDS)(root, chance)
            data, options = _file(root, chance), OPTIONS[number % len(OPTIONS)]
            try:
                began = time.process_time()
                outcomes[check_annotate(data, options)] += 1
                slowest = max(slowest, time.process_time() - began)
                assert slowest < _SECONDS
                if number % _OTHER_JOBS == 0:
                    outcomes[others.check(number // _OTHER_JOBS, data, options)] += 1
            except Exception as error:
                error.add_note(f"seed {seed}, mutant {number}")
                raise
    finally:
        others.close()
    return outcomes, {"slowest_annotate_seconds": round(slowest, 2), "slowest_other_job": others.slowest}


@pytest.mark.long
def test_changed_structures() -> None:
    outcomes, _ = run(90, seed=3)
    assert outcomes["annotated"] > 20
    assert sum(count for outcome, count in outcomes.items() if ": " not in outcome) == 90


@pytest.mark.slow
def test_many_changed_structures() -> None:
    outcomes, times = run(MUTANTS, seed=2026)
    tell("structures", mutants=MUTANTS, crashes=0, **times, outcomes=dict(outcomes.most_common()))
