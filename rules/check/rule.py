"""Rules: a named fault, why it matters to a player, how it is found, and what can be reported.

A rule is one module in `catalogue` that declares `RULE`. Wording is kept in its outcomes, facts in its findings;
severity is the outcome's default and only a policy changes it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, fields, replace
from enum import IntEnum, StrEnum
from typing import Any

from ..music.instrument import Pitch
from ..plan.plan import Plan
from ..text import Name, Text, counted, english, joined

_FACT = re.compile(r"\$(\w+)")
_COUNTED = re.compile(r"\{(\w+)\} \w+\(s\)")
_PITCH = re.compile(r"([A-G])(##?|bb?)?(-?\d)?(?![^\s])")
_SIGNS = {"#": "♯", "##": "𝄪", "b": "♭", "bb": "𝄫", None: ""}
Fact = str | int | float
"""What a finding states; whole numbers, short texts."""


class Severity(IntEnum):
    """How much a finding weighs."""

    NOTE = 1
    WARNING = 2
    ERROR = 3

    @property
    def word(self) -> str:
        """The severity in small letters, as options and reports write it."""
        return self.name.lower()


class Scope(StrEnum):
    """What a rule reads: a plan of the part, or only what the part prints."""

    HOME = "first position"
    PROPOSED = "proposed plan"
    BOTH = "both"
    PRINTED = "printed marks"

    @property
    def reads_home(self) -> bool:
        """True if the plan in first position is looked at; every scope but this one's own reads the proposed plan."""
        return self in (Scope.HOME, Scope.BOTH)


class Concern(StrEnum):
    """What a finding is about, so that what is wrong stands apart from what could be easier."""

    PRINT = "print"
    LEVEL = "level"
    PLAYING = "playing"


@dataclass(frozen=True, slots=True)
class Outcome:
    """One distinct report of a rule.

    Attributes:
        sentence: a template over the finding's facts (`$beats`). `(s)` behind a word is written or left out to agree
            with the number before.
        severity: unless a policy changes it.
        concern: the print (a misprint, or a mark that nobody can follow), what a house asks of a book at its level, or
            advice on playing.
    """

    sentence: str
    severity: Severity
    concern: Concern = Concern.PLAYING

    @property
    def templates(self) -> tuple[str, str, str]:
        """The sentence for one and for many, and the fact that decides between them; the last two are often empty."""
        template = _FACT.sub(r"{\1}", self.sentence)
        number = _COUNTED.search(template)
        if number is None:
            return template, "", ""
        return template.replace("(s)", ""), template.replace("(s)", "s"), number[1]


@dataclass(frozen=True, slots=True)
class Finding:
    """One fault at one place: events `first` to `last`, the notes concerned, and the facts."""

    rule: str
    outcome: str
    first: int
    last: int
    notes: tuple[str, ...]
    facts: Mapping[str, Fact] = field(default_factory=dict)

    @property
    def key(self) -> tuple[str, str, int, int]:
        """What makes two findings the same in two plans of one part."""
        return (self.rule, self.outcome, self.first, self.last)


Check = Callable[[Plan, Any], Iterator[Finding]]


@dataclass(frozen=True)
class Rule:
    """A fault that the catalogue knows.

    Attributes:
        id: names the fault, equals the module's name with hyphens, never changes.
        title: one line that states the fault.
        rationale: why it matters to a player.
        scope: whether first position, the proposed plan or both are looked at.
        options: a frozen dataclass with the defaults.
        check: finds the fault in a plan.
        outcomes: by code; codes never change.
        since: version in which the rule appeared.
        unseen: why no real music has triggered the rule so far; empty if some has.
        silent: outcomes that a policy does not report.
    """

    id: str
    title: str
    rationale: str
    scope: Scope
    options: Any
    check: Check
    outcomes: Mapping[str, Outcome]
    since: str = "0.1.0"
    unseen: str = ""
    silent: frozenset[str] = frozenset()

    def found(self, outcome: str, plan: Plan, first: int, last: int | None = None, **facts: Fact) -> Finding:
        """Build a finding; refuses outcomes that the rule does not declare."""
        if outcome not in self.outcomes:
            raise KeyError(f"{self.id} declares no outcome {outcome!r}")
        end = first if last is None else last
        notes = tuple(note.id for index in range(first, end + 1) for note in plan.event(index).notes)
        return Finding(self.id, outcome, first, end, notes, facts)

    def sentence(self, finding: Finding) -> Text:
        """Render what the finding says, notes with their printed signs."""
        one, many, number = self.outcomes[finding.outcome].templates
        parts = {name: _part(fact) for name, fact in finding.facts.items()}
        if number:
            return counted(one, many, int(finding.facts[number]), **parts)
        return english(one, **parts)

    def with_options(self, given: Mapping[str, Any]) -> Rule:
        """Return the rule with other values for some options; a whole number does for a fraction.

        Raises:
            KeyError: if the rule has no such option; the argument is the name.
            TypeError: if a value is of another kind than the default; the arguments are name, value and kind.
        """
        known = {option.name: type(getattr(self.options, option.name)) for option in fields(self.options)}
        values: dict[str, Any] = {}
        for name, value in given.items():
            if name not in known:
                raise KeyError(name)
            values[name] = _as_kind(known[name], name, value)
        return replace(self, options=replace(self.options, **values))


def _part(fact: Fact) -> str | int | float:
    """A fact as a part of a sentence; pitches as the names that they are."""
    if not isinstance(fact, str) or not fact or isinstance(fact, Name | Text):
        return fact
    words = fact.split(" ")
    found = [_PITCH.fullmatch(word) for word in words]
    if not all(found):
        return str(fact)
    return joined(_note(pitch) for pitch in found if pitch)


def _note(pitch: re.Match[str]) -> Name:
    return Name.for_thing(
        f"{pitch[1]}{_SIGNS[pitch[2]]}{pitch[3] or ''}", Pitch.named(f"{pitch[1]}{pitch[2] or ''}{pitch[3] or '4'}")
    )


def _as_kind(kind: type[Any], name: str, value: Any) -> Any:
    """The value as the option's kind: a whole number does for a fraction, a word for one of several choices."""
    if issubclass(kind, StrEnum):
        if value not in list(kind):
            raise TypeError(name, value, english("one of {words}", words=", ".join(kind)))
        return kind(value)
    if kind is tuple:
        if not isinstance(value, list | tuple) or not all(isinstance(each, str) for each in value):
            raise TypeError(name, value, english("a list of texts"))
        return tuple(value)
    if kind is float and type(value) is int:
        return float(value)
    if type(value) is not kind:
        raise TypeError(name, value, _KINDS.get(kind, kind.__name__))
    return value


_KINDS: Mapping[type[Any], str] = {
    int: english("a whole number"),
    float: english("a number"),
    bool: english("true or false"),
    str: english("a text"),
}
