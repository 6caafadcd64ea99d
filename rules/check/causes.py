"""One finding for one cause: what follows from a fault that is reported at the same notes is not reported again.

A digit that cannot sound its note also breaks the hand, contradicts the string and is not kept by the plan; a note
beyond the level also needs a position and a shift that the level does not have. The list is in the order in which an
editor would put it: the first names the cause.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable
from itertools import accumulate
from typing import TypeVar

from .rule import Concern, Finding

CAUSES: tuple[tuple[str, ...], ...] = (
    (
        "note-below-compass",
        "mark-not-understood",
        "finger-cannot-sound-note",
        "note-marked-open-and-stopped",
        "contradictory-marks",
        "harmonic-without-node",
        "chord-not-held",
        "digits-against-the-line",
        "marks-break-the-hand",
        "restez-not-kept",
        "position-word-without-return",
        "position-not-named",
        "decision-not-kept",
        "like-bars-marked-unlike",
    ),
    (
        "note-above-compass",
        "note-outside-level",
        "position-beyond-level",
        "shift-kind-not-allowed",
        "unmarked-shift",
        "note-above-first-position",
        "excursion-for-one-note",
        "shift-under-slur",
        "shift-without-time",
    ),
)
"""Rules whose findings follow from each other, the cause first."""
FEW = 4
"""Advice on so few events is dropped where the print is wrong: what is printed there will change."""
_Item = TypeVar("_Item")


def first_of_each_cause(
    items: Iterable[_Item], finding_of: Callable[[_Item], Finding], concern_of: Callable[[_Item], Concern]
) -> list[_Item]:
    """Return the items without those whose cause is reported by another one at the same events."""
    every = list(items)
    dropped: set[int] = set()
    for causes in CAUSES:
        told: list[Finding] = []
        for cause in causes:
            places = _Places(told)
            own = [number for number, item in enumerate(every) if finding_of(item).rule == cause]
            dropped.update(number for number in own if places.touch(finding_of(every[number])))
            told += [finding_of(every[number]) for number in own if number not in dropped]
    wrong = _Places(
        finding_of(item)
        for number, item in enumerate(every)
        if number not in dropped and concern_of(item) is Concern.PRINT
    )
    for number, item in enumerate(every):
        finding = finding_of(item)
        short = finding.last - finding.first < FEW
        if concern_of(item) is not Concern.PRINT and short and wrong.touch(finding):
            dropped.add(number)
    return [item for number, item in enumerate(every) if number not in dropped]


class _Places:
    """The events of some findings."""

    def __init__(self, findings: Iterable[Finding]) -> None:
        spans = sorted((finding.first, finding.last) for finding in findings)
        self._firsts = [first for first, _ in spans]
        self._last_so_far = list(accumulate((last for _, last in spans), max))

    def touch(self, finding: Finding) -> bool:
        """True if one of the findings shares an event with this one."""
        before = bisect_right(self._firsts, finding.last)
        return before > 0 and self._last_so_far[before - 1] >= finding.first
