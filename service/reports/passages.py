"""Findings grouped by passage, as people want to read them: one line where the same fault stands in bars close by.

The reports that people read show so many passages a part, the gravest first chosen, and say how many more there are.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rules import Concern, Severity

from ..messages.findings import AGAIN, ALSO_IN, MORE, SEVERITIES
from ..messages.message import Wording

if TYPE_CHECKING:
    from ..usecases.checks.check import CheckedFinding, CheckedPart

_OF_THE_NOTES = frozenset({"note-below-compass", "note-above-compass", "chord-not-held"})
CLOSE = 4
"""Bars apart, from the end of one finding to the beginning of the next, up to which they make one passage."""


@dataclass(frozen=True, slots=True)
class Reported:
    """Findings of one outcome in bars close by; at least one, in playing order."""

    findings: tuple[CheckedFinding, ...]

    @property
    def first(self) -> CheckedFinding:
        """The first of them."""
        return self.findings[0]

    @property
    def severity(self) -> Severity:
        """Their severity."""
        return Severity[self.first.severity.upper()]

    @property
    def bars(self) -> str:
        """From the first bar to the last: "12" or "12-20"."""
        start, end = self.first.first_bar, self.findings[-1].last_bar
        return start if start == end else f"{start}-{end}"

    def message(self, wording: Wording) -> str:
        """Return what the first says, and in which bars the same is found again."""
        others = list(dict.fromkeys(finding.first_bar for finding in self.findings[1:]))
        if not others:
            return self.first.message
        if others == [self.first.first_bar]:
            return wording.say(AGAIN, len(self.findings) - 1, finding=self.first.message)
        return wording.say(ALSO_IN, len(others), finding=self.first.message, bars=", ".join(others))


def passages(findings: Iterable[CheckedFinding]) -> list[Reported]:
    """Return findings grouped, in playing order."""
    open_groups: dict[tuple[str, ...], list[CheckedFinding]] = {}
    groups: list[list[CheckedFinding]] = []
    for finding in findings:
        # A mark is put right by itself, unless it is the same again; notes beyond the instrument have one cause.
        misprint = finding.concern == Concern.PRINT.value and finding.rule not in _OF_THE_NOTES
        text = finding.message if misprint else ""
        key = (finding.rule, finding.outcome, finding.severity, finding.exempted, text)
        group = open_groups.get(key)
        if group is not None and finding.first_measure - group[-1].last_measure <= CLOSE:
            group.append(finding)
        else:
            open_groups[key] = [finding]
            groups.append(open_groups[key])
    return [Reported(tuple(group)) for group in groups]


def to_deal_with(part: CheckedPart) -> list[Reported]:
    """Return the passages of a part with findings that count."""
    return passages(finding for finding in part.findings if finding.counts)


def gravest(reported: Sequence[Reported], most: int, wording: Wording) -> tuple[list[Reported], str]:
    """Return the gravest passages in playing order, at most so many (0: all), and what is left out in words."""
    if not most or len(reported) <= most:
        return list(reported), ""
    ranked = sorted(range(len(reported)), key=lambda number: (-reported[number].severity, number))
    shown = [reported[number] for number in sorted(ranked[:most])]
    left = Counter(reported[number].severity.word for number in ranked[most:])
    counts = ", ".join(wording.say(message, left[word]) for word, message in SEVERITIES.items() if left[word])
    return shown, wording.say(MORE, len(reported) - most, counts=counts)
