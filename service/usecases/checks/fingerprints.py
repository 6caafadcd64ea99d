"""How a finding is recognised in a later run, and what of a baseline is still there.

A finding has two fingerprints. Its place is made of its notes and those next to it, so that of like findings each is
told apart; its core is made of its own notes alone. A finding of which the place is known is accepted; else one of
which the core is known, as often as the baseline has it. So a finding is lost only if its own notes or marks change.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from hashlib import sha256

from rules import Event, Flag, Plan

NEIGHBOURS = 2
"""Events before and after a finding whose notes are part of its place."""
LENGTH = 20
"""Hexadecimal digits of a fingerprint."""


@dataclass(frozen=True, slots=True)
class Fingerprint:
    """The place and the core of a finding, as hexadecimal digits; empty if nobody asked for them."""

    place: str = ""
    core: str = ""


@dataclass(frozen=True, slots=True)
class Accepted:
    """One entry of a baseline: the fingerprint, and the finding in words."""

    fingerprint: Fingerprint
    words: str


def fingerprints(plan: Plan, flags: Sequence[Flag]) -> Iterator[Fingerprint]:
    """Yield the fingerprint of each finding; of findings alike in all this the first, the second … are told apart."""
    seen: Counter[str] = Counter()
    passage = plan.passage
    for flag in flags:
        first, last = flag.finding.first, flag.finding.last
        about = [flag.finding.rule, flag.finding.outcome, passage.name or passage.part]
        core = "|".join([*about, *_spelled(passage.events[first : last + 1])])
        around = passage.events[max(first - NEIGHBOURS, 0) : last + NEIGHBOURS + 1]
        place = "|".join([*about, *_spelled(around)])
        seen[place] += 1
        yield Fingerprint(_digest(f"{place}|{seen[place]}"), _digest(core))


def _spelled(events: Iterable[Event]) -> Iterator[str]:
    for event in events:
        for note in event.notes:
            yield f"{note.pitch.name}:{note.beats}:{note.printed.fingers}{note.printed.strings}"


def _digest(text: str) -> str:
    return sha256(text.encode()).hexdigest()[:LENGTH]


def recognise(found: Sequence[Fingerprint], accepted: Sequence[Accepted]) -> tuple[list[bool], tuple[str, ...]]:
    """Return for each finding whether the baseline has it, and in words the entries that match nothing any more."""
    places = Counter(entry.fingerprint.place for entry in accepted)
    cores = Counter(entry.fingerprint.core for entry in accepted)
    known = [False] * len(found)
    matched: Counter[str] = Counter()
    for number, each in enumerate(found):
        if places[each.place]:
            known[number] = True
            places[each.place] -= 1
            cores[each.core] -= 1
            matched[each.core] += 1
    for number, each in enumerate(found):
        if not known[number] and each.core and cores[each.core] > 0:
            known[number] = True
            cores[each.core] -= 1
            matched[each.core] += 1
    stale = []
    for entry in accepted:
        if matched[entry.fingerprint.core]:
            matched[entry.fingerprint.core] -= 1
        else:
            stale.append(entry.words)
    return known, tuple(stale)
