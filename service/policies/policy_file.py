"""A house's policy as a file (TOML): reading it, and applying it to the files of a catalogue."""

from __future__ import annotations

import tomllib
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from fnmatch import fnmatchcase
from importlib.resources import files
from pathlib import PurePosixPath
from typing import Any

from pydantic import ValidationError

from rules import LEVELS, STANDARD_HAND, Exemption, FingeringHand, Level, Policy, Rule, Setting, all_rules

from ..errors import ScoreError, said
from .policy_errors import policy_error, score_error
from .policy_model import AcceptedFindings, Conventions, ExpectedFindings, Folder, Marks, PolicyBody, PolicyText

PROOF = "proof"
"""The policy of a check that names none: what an editor marks in proof."""
BUILT_IN = (PROOF, *LEVELS)
"""Names of the policies that come with the program: for proof-reading, and one for every level."""


@dataclass(frozen=True)
class HousePolicy:
    """A policy for one file, with the instrument, parts and hand that it names, and what it says of part names."""

    policy: Policy
    instrument: str | None = None
    parts: tuple[str, ...] = ()
    rules: tuple[Rule, ...] = ()
    part_names: Mapping[str, str] = field(default_factory=dict)
    hand: FingeringHand = STANDARD_HAND


@dataclass(frozen=True)
class PolicyFile:
    """A policy as read; `for_file` applies what it says about the folder of a file."""

    text_name: str
    body: PolicyText
    folders: tuple[Folder, ...] = ()
    text: str = field(default="", repr=False)
    tests: tuple[ExpectedFindings, ...] = ()
    _cache: dict[tuple[object, ...], HousePolicy] = field(default_factory=dict, repr=False)

    def exceptions(self, names: Collection[str], others: Collection[str] | None) -> Iterator[str]:
        """Yield every exception, in one line each, that is for files of these names alone.

        Args:
            names: the files that were checked.
            others: the other files of the catalogue: an exception that may be for one of them is left out. None if
                nobody knows them; then the exceptions are those that name one of the files.
        """
        every: list[tuple[AcceptedFindings, str | None]] = [(each, None) for each in self.body.exceptions]
        every += [(each, folder.path) for folder in self.folders for each in folder.exceptions]
        for each, folder_path in every:
            patterns = [pattern for pattern in (folder_path, each.file) if pattern is not None]
            if others is None:
                alone = bool(patterns) and _is_for_one(patterns, names)
            else:
                alone = not _is_for_one(patterns, others)
            if alone:
                yield each.label

    def for_file(self, name: str) -> HousePolicy:
        """Return the policy for a file; a pattern may match any run of steps of its path."""
        matched = tuple(number for number, folder in enumerate(self.folders) if _lies_in(name, folder.path))
        body = self.body
        for number in matched:
            body = body.followed_by(self.folders[number])
        accepted = tuple(
            number for number, each in enumerate(body.exceptions) if each.file is None or _lies_in(name, each.file)
        )
        key = (matched, accepted)
        if key not in self._cache:
            self._cache[key] = _house(body, self.text_name, accepted)
        return self._cache[key]


def _is_for_one(patterns: Sequence[str], names: Iterable[str]) -> bool:
    """Return whether one of the files lies in all the patterns."""
    return any(all(_lies_in(name, pattern) for pattern in patterns) for name in names)


def _lies_in(name: str, pattern: str) -> bool:
    """Return whether the file, or a folder above it, matches the pattern: `book_2`, `*_duet.mxl`, `strings/book_?`."""
    steps = [step for step in PurePosixPath(name).parts if step != "/"]
    wanted = PurePosixPath(pattern).parts
    runs = (steps[start : start + len(wanted)] for start in range(len(steps) - len(wanted) + 1))
    return any(all(map(fnmatchcase, run, wanted)) for run in runs)


def read_policy(text: str, name: str) -> PolicyFile:
    """Return the policy that `text` writes down; `name` is used in messages.

    Raises:
        ScoreError: `bad-policy` or `unknown-key`, naming the file, the line, the key, and what is possible.
    """
    try:
        data: Mapping[str, Any] = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise policy_error(
            said("this is not valid TOML: {reason}", reason=str(error)), said("Repair that line."), name
        ) from None
    try:
        body = PolicyText.model_validate(data)
    except ValidationError as error:
        raise score_error(error, name, text) from None
    if body.extends is not None:
        base = built_in(body.extends).body
        own: dict[str, Any] = {key: getattr(body, key) for key in body.model_fields_set & {"name", "summary"}}
        whole = base.followed_by(body).model_copy(update=own)
    else:
        whole = body
    return PolicyFile(name, whole, tuple(body.folders), text, tuple(body.tests))


def built_in(name: str) -> PolicyFile:
    """Return one of the policies that come with the program.

    Raises:
        ScoreError: `unknown-policy`, if there is none of that name.
    """
    if name not in BUILT_IN:
        nearest = get_close_matches(name, BUILT_IN, n=1)
        hint = said("Name a TOML file, or one of: {known}.", known=", ".join(BUILT_IN))
        if nearest:
            hint = said("Did you mean {nearest}?", nearest=nearest[0])
        raise ScoreError("unknown-policy", said("There is no policy {policy}.", policy=repr(name)), hint, None, 400)
    return read_policy((files("service") / "policies" / f"{name}.toml").read_text(encoding="utf-8"), f"{name}.toml")


def _house(body: PolicyText, name: str, accepted: tuple[int, ...]) -> HousePolicy:
    rules = {rule.id: rule for rule in all_rules()}
    settings = {
        id: Setting(change.reason, change.enabled, change.severities(rules[id]), change.options)
        for id, change in body.rules.items()
    }
    if body.marks is not None:
        settings["unmarked-shift"] = _marks(body.marks)
    if body.conventions is not None:
        settings["house-convention"] = _conventions(body.conventions, rules["house-convention"])
    exceptions = [body.exceptions[number] for number in accepted]
    policy = Policy(
        name=name if body.name is None else body.name,
        level=_level(body),
        settings=settings,
        exemptions=tuple(
            Exemption(each.reason, each.rule, each.part, each.bar_range, each.label) for each in exceptions
        ),
        fail_on=body.fail_on,
        summary=body.summary or "",
        reports=body.reports,
    )
    return HousePolicy(
        policy,
        body.instrument,
        tuple(body.parts),
        policy.rules(all_rules()),
        body.part_names,
        FingeringHand(**body.hand),
    )


def _level(body: PolicyBody) -> Level:
    level = body.level if body.positions is None else body.level.with_positions(body.positions)
    return level if body.shifts is None else replace(level, shifts=frozenset(body.shifts))


def _marks(marks: Marks) -> Setting:
    """The `[marks]` table as a setting of the rule that looks for marks at shifts."""
    if marks.shifts == "none":
        return Setting(marks.reason, enabled=False)
    severities = {"away": marks.severity, "home": marks.severity}
    return Setting(marks.reason, True, severities, {"needs": marks.shifts, "home": marks.home})


def _conventions(conventions: Conventions, rule: Rule) -> Setting:
    """The `[conventions]` table as a setting of the rule that looks for other forms."""
    options = conventions.model_dump(include={"open_string", "strings", "position_words", "languages"})
    return Setting(conventions.reason, True, dict.fromkeys(rule.outcomes, conventions.severity), options)


__all__ = ["BUILT_IN", "HousePolicy", "PolicyFile", "built_in", "read_policy"]
