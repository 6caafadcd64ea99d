"""The keys of a policy file and their values, as closed models."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, TypeVar

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainValidator,
    StringConstraints,
    model_validator,
)

from rules import (
    DEFAULT_LEVEL,
    HIGHEST_POSITION,
    INSTRUMENTS,
    LEAST_SCALE,
    LEVELS,
    MOST_SCALE,
    SCALES,
    Concern,
    Level,
    Rule,
    Severity,
    ShiftKind,
    all_rules,
)

from ..config.field_types import Choice
from ..errors import Sentence, said
from .policy_errors import fault, not_possible, unknown_name, wrong_word

_SEVERITIES = {severity.word: severity for severity in Severity}
_Body = TypeVar("_Body", bound="PolicyBody")


def _severities(value: Any) -> Severity | dict[str, Severity]:
    """Read one severity for all outcomes of a rule, or a severity by outcome."""
    if isinstance(value, Mapping):
        return {code: _severity(word, code) for code, word in value.items()}
    return _severity(value)


def _severity(word: Any, *at: str) -> Severity:
    if word not in _SEVERITIES:
        raise wrong_word(word, _SEVERITIES, at)
    return _SEVERITIES[word]


def _positions(value: Any) -> frozenset[int]:
    numbers = value if isinstance(value, list) else []
    if not numbers or not all(type(each) is int and 0 <= each <= HIGHEST_POSITION for each in numbers):
        advice = said(
            "Write a list of numbers from 0 (half position) to {most}, for example [1, 3].", most=HIGHEST_POSITION
        )
        raise fault(not_possible(value), advice)
    return frozenset(numbers)


def _concerns(value: Any) -> frozenset[Concern]:
    words = value if isinstance(value, list) else [value]
    for word in words:
        if word not in list(Concern):
            raise wrong_word(word, [concern.value for concern in Concern])
    return frozenset(Concern(word) for word in words)


def _rule(id: str, *at: str) -> Rule:
    rules = {rule.id: rule for rule in all_rules()}
    if id not in rules:
        raise unknown_name(said("there is no rule {name}", name=repr(id)), id, list(rules), at)
    return rules[id]


def _rule_id(id: str) -> str:
    return _rule(id).id


def _expected(text: str) -> str:
    """Check a rule, or a rule and one of its outcomes: "held-open-string", "note-outside-level/beyond"."""
    id, slash, outcome = text.partition("/")
    outcomes = _rule(id).outcomes
    if slash and outcome not in outcomes:
        raise unknown_name(_no_outcome(outcome), outcome, list(outcomes))
    return text


def _no_outcome(code: str) -> Sentence:
    return said("there is no outcome {name}", name=repr(code))


def _range(bars: str) -> tuple[str, str]:
    first, _, last = bars.partition("-")
    return first.strip(), (last or first).strip()


def _bars(value: Any) -> Any:
    return str(value) if type(value) is int else value


_Reason = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1)]


class _Table(BaseModel):
    """A table without any other keys."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)

    @model_validator(mode="before")
    @classmethod
    def _refuse_unknown_keys(cls, value: Any) -> Any:
        for key in value if isinstance(value, Mapping) else ():
            if key not in cls.model_fields:
                message = said("there is no key {name}", name=repr(key))
                raise unknown_name(message, key, list(cls.model_fields), (key,))
        return value


class RuleChange(_Table):
    """What a house changes about one rule."""

    enabled: bool = True
    severity: Annotated[Severity | dict[str, Severity], PlainValidator(_severities)] = Field(default_factory=dict)
    options: dict[str, Any] = {}
    reason: _Reason

    def severities(self, rule: Rule) -> dict[str, Severity]:
        """Return the severity of each outcome that the house changes."""
        if isinstance(self.severity, Severity):
            return dict.fromkeys(rule.outcomes, self.severity)
        return self.severity


class Marks(_Table):
    """What has to be printed at a shift."""

    shifts: Annotated[str, Choice({word: word for word in ("none", "any", "finger", "position")})] = "any"
    home: bool = False
    severity: Annotated[Severity, Choice(_SEVERITIES)] = Severity.ERROR
    reason: _Reason


class Conventions(_Table):
    """In which form the house prints its marks."""

    open_string: Annotated[str, Choice({word: word for word in ("any", "0", "o", "open-string")})] = "any"
    strings: Annotated[str, Choice({word: word for word in ("any", "numeral", "words", "number")})] = "any"
    position_words: list[str] = []
    languages: list[Annotated[str, Choice({word: word for word in ("en", "de", "fr", "it")})]] = []
    severity: Annotated[Severity, Choice(_SEVERITIES)] = Severity.WARNING
    reason: _Reason


class ExpectedFindings(_Table):
    """A test of the policy: what it is to find in a score, or in some bars of it, and nothing else."""

    file: str
    part: str | None = None
    bars: Annotated[str, BeforeValidator(_bars)] | None = None
    finds: list[Annotated[str, AfterValidator(_expected)]]

    @property
    def bar_range(self) -> tuple[str, str] | None:
        """The first and the last bar."""
        return None if self.bars is None else _range(self.bars)


class AcceptedFindings(_Table):
    """Findings that a house accepts: of a rule, in a file, a part or bars, whatever of these is named."""

    rule: Annotated[str, AfterValidator(_rule_id)] | None = None
    file: str | None = None
    part: str | None = None
    bars: Annotated[str, BeforeValidator(_bars)] | None = None
    reason: _Reason

    @property
    def label(self) -> str:
        """The entry in one line: what it narrows down to, and the reason."""
        named = (("rule", self.rule), ("file", self.file), ("part", self.part), ("bars", self.bars))
        where = ", ".join(f"{name} {value}" for name, value in named if value is not None)
        if not where:
            return said("everywhere ({reason})", reason=self.reason)
        return said("{where} ({reason})", where=where, reason=self.reason)

    @property
    def bar_range(self) -> tuple[str, str] | None:
        """The first and the last bar."""
        return None if self.bars is None else _range(self.bars)


def _check_rules(changes: dict[str, RuleChange]) -> dict[str, RuleChange]:
    """Refuse rules, outcomes and options that do not exist, and values that an option cannot have."""
    for id, change in changes.items():
        rule = _rule(id, id)
        for code in change.severities(rule):
            if code not in rule.outcomes:
                raise unknown_name(_no_outcome(code), code, list(rule.outcomes), (id, "severity", code))
        try:
            rule.with_options(change.options)
        except KeyError as error:
            name = str(error.args[0])
            known = list(rule.options.__dataclass_fields__)
            message = said("there is no option {name}", name=repr(name))
            raise unknown_name(message, name, known, (id, "options", name)) from None
        except TypeError as error:
            name, value, kind = error.args
            message = said("{value} cannot be its value", value=repr(value))
            raise fault(message, said("Give {expected}.", expected=kind), (id, "options", name)) from None
    return changes


def _check_scales(scales: dict[str, float]) -> dict[str, float]:
    """Refuse scales that do not exist, and values beyond their limits."""
    for name, value in scales.items():
        if name not in SCALES:
            raise unknown_name(said("there is no scale {name}", name=repr(name)), name, SCALES, (name,))
        if not LEAST_SCALE <= value <= MOST_SCALE:
            advice = said("Write a number from {least} to {most}.", least=f"{LEAST_SCALE:g}", most=f"{MOST_SCALE:g}")
            raise fault(not_possible(value), advice, (name,))
    return scales


class PolicyBody(_Table):
    """What a policy says about all files, or about the files of a folder."""

    level: Annotated[Level, Choice(LEVELS)] = DEFAULT_LEVEL
    positions: Annotated[frozenset[int], PlainValidator(_positions)] | None = None
    shifts: list[Annotated[ShiftKind, Choice({kind.value: kind for kind in ShiftKind})]] | None = None
    fail_on: Annotated[Severity, Choice(_SEVERITIES)] = Severity.ERROR
    reports: Annotated[frozenset[Concern], PlainValidator(_concerns)] = frozenset(Concern)
    instrument: Annotated[str, Choice({name: name for name in INSTRUMENTS})] | None = None
    parts: list[str] = []
    hand: Annotated[dict[str, float], AfterValidator(_check_scales)] = {}
    part_names: dict[str, Annotated[str, Choice({name: name for name in (*INSTRUMENTS, "none")})]] = {}
    marks: Marks | None = None
    conventions: Conventions | None = None
    rules: Annotated[dict[str, RuleChange], AfterValidator(_check_rules)] = {}
    exceptions: list[AcceptedFindings] = []

    def followed_by(self: _Body, later: PolicyBody) -> _Body:
        """Return this with what `later` says instead; rules are joined, exceptions added up.

        A later level brings its own positions and shifts.
        """
        changes = {name: getattr(later, name) for name in later.model_fields_set & PolicyBody.model_fields.keys()}
        if "level" in changes:
            changes = {"positions": None, "shifts": None, **changes}
        changes["rules"] = {**self.rules, **later.rules}
        changes["part_names"] = {**self.part_names, **later.part_names}
        changes["exceptions"] = [*self.exceptions, *later.exceptions]
        return self.model_copy(update=changes)


class Folder(PolicyBody):
    """What a policy says about the files of a folder, or about files whose names match a pattern."""

    path: str


class PolicyText(PolicyBody):
    """A whole policy file."""

    name: str | None = None
    summary: str | None = None
    extends: Annotated[str, Choice({name: name for name in ("proof", *LEVELS)})] | None = None
    folders: list[Folder] = []
    tests: list[ExpectedFindings] = []
