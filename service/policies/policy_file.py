"""A house's policy as written down: TOML in, checked key by key, with overrides for folders.

A file may build on a built-in policy (`extends = "first"`); folders are told by patterns at any depth, and the later
entry wins. What belongs here: the format and its faults. What does not: what a policy does (see `rules`).
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from fnmatch import fnmatchcase
from importlib.resources import files
from pathlib import PurePosixPath
from typing import Any

from rules import INSTRUMENTS, LEVELS, Exemption, Policy, Rule, Setting, Severity, all_rules

from ..errors import ScoreError
from .policy_values import Place, level_from, unknown_key

_TOP = ("name", "summary", "extends", "folders")
_BODY = ("level", "positions", "shifts", "fail_on", "instrument", "parts", "marks", "rules", "exceptions")
_RULE = ("enabled", "severity", "options", "reason")
_EXCEPTION = ("rule", "file", "part", "bars", "reason")
_MARKS = ("shifts", "home", "severity", "reason")
_MARKED = ("none", "any", "finger", "position")
BUILT_IN = tuple(LEVELS)
"""Names of the policies that come with the program: one for every level."""


@dataclass(frozen=True)
class HousePolicy:
    """A policy with what concerns files: which instrument and parts, and in which files an exception holds."""

    policy: Policy
    instrument: str | None = None
    parts: tuple[str, ...] = ()
    rules: tuple[Rule, ...] = ()


@dataclass(frozen=True)
class PolicyFile:
    """A policy as read; `for_file` applies what is said about the folder that a file lies in."""

    text_name: str
    body: Mapping[str, Any]
    folders: tuple[tuple[str, Mapping[str, Any]], ...] = ()
    _made: dict[tuple[object, ...], HousePolicy] = field(default_factory=dict, repr=False)

    def for_file(self, name: str) -> HousePolicy:
        """Return the policy for a file; of its name, with slashes, any run of steps may match a pattern."""
        matched = tuple(number for number, (pattern, _) in enumerate(self.folders) if _lies_in(name, pattern))
        bodies = [self.body, *(self.folders[number][1] for number in matched)]
        excepted = tuple(
            number
            for number, one in enumerate(entry for body in bodies for entry in body.get("exceptions", []))
            if "file" not in one or _lies_in(name, one["file"])
        )
        key = (matched, excepted)
        if key not in self._made:
            self._made[key] = _house(_merged(bodies), self.text_name, excepted)
        return self._made[key]


def _lies_in(name: str, pattern: str) -> bool:
    """True if the file, or a folder that it lies in, matches the pattern: `book_2`, `*_duet.mxl`, `strings/book_?`."""
    steps = [step for step in PurePosixPath(name).parts if step != "/"]
    wanted = PurePosixPath(pattern).parts
    runs = (steps[start : start + len(wanted)] for start in range(len(steps) - len(wanted) + 1))
    return any(all(map(fnmatchcase, run, wanted)) for run in runs)


def read_policy(text: str, name: str) -> PolicyFile:
    """Return the policy that `text` writes down; `name` is used in messages.

    Raises:
        ScoreError: `bad-policy` or `unknown-key`, naming the file, the key, and what is possible.
    """
    place = Place(name, text)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise place.fault("", f"this is no TOML: {fault}", "Repair that line.") from None
    _known(place, data, (*_TOP, *_BODY), "")
    base: Mapping[str, Any] = {}
    if "extends" in data:
        base = built_in(place.one_of("extends", data["extends"], BUILT_IN)).body
    body = {key: value for key, value in data.items() if key not in ("folders", "extends")}
    folders = []
    for number, folder in enumerate(place.tables("folders", data.get("folders", []))):
        _known(place, folder, ("path", *_BODY), f"folders[{number}].")
        pattern = place.text_value(f"folders[{number}].path", folder.get("path"))
        folders.append((pattern, {key: value for key, value in folder.items() if key != "path"}))
    found = PolicyFile(name, _merged([base, body]), tuple(folders))
    for change in [{}, *(folder for _, folder in folders)]:
        _house(_merged([found.body, change]), name, (), text)
    return found


def built_in(name: str) -> PolicyFile:
    """Return one of the policies that come with the program.

    Raises:
        ScoreError: `unknown-policy`, if there is none of that name.
    """
    if name not in BUILT_IN:
        nearest = get_close_matches(name, BUILT_IN, n=1)
        hint = f"Did you mean {nearest[0]}?" if nearest else f"Name a TOML file, or one of: {', '.join(BUILT_IN)}."
        raise ScoreError("unknown-policy", f"There is no policy {name!r}.", hint, None, 400)
    return read_policy((files("service") / "policies" / f"{name}.toml").read_text(encoding="utf-8"), f"{name}.toml")


def _merged(bodies: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """Later bodies win; rules are joined rule by rule, exceptions added up; a new level brings its own positions."""
    merged: dict[str, Any] = {}
    for body in bodies:
        if "level" in body:
            merged = {key: value for key, value in merged.items() if key not in ("positions", "shifts")}
        for key, value in body.items():
            if key == "rules" and isinstance(value, Mapping):
                merged["rules"] = {**merged.get("rules", {}), **value}
            elif key == "exceptions" and isinstance(value, list):
                merged["exceptions"] = [*merged.get("exceptions", []), *value]
            else:
                merged[key] = value
    return merged


def _house(body: Mapping[str, Any], name: str, excepted: tuple[int, ...], text: str = "") -> HousePolicy:
    place = Place(name, text)
    settings = {id: _setting(place, id, given) for id, given in place.table("rules", body.get("rules", {})).items()}
    if "marks" in body:
        settings["unmarked-shift"] = _marks(place, place.table("marks", body["marks"]))
    exceptions = [
        _exception(place, number, given)
        for number, given in enumerate(place.tables("exceptions", body.get("exceptions", [])))
    ]
    policy = Policy(
        name=place.text_value("name", body.get("name", name)),
        level=level_from(place, body),
        settings=settings,
        exemptions=tuple(exceptions[number] for number in excepted),
        fail_on=Severity[place.one_of("fail_on", body.get("fail_on", "error"), _SEVERITIES).upper()],
        summary=place.text_value("summary", body.get("summary", "")),
    )
    instrument = body.get("instrument")
    if instrument is not None:
        place.one_of("instrument", instrument, tuple(INSTRUMENTS))
    parts = tuple(place.text_value("parts", part) for part in place.listed("parts", body.get("parts", [])))
    return HousePolicy(policy, instrument, parts, policy.rules(all_rules()))


_SEVERITIES = tuple(severity.word for severity in Severity)


def _setting(place: Place, id: str, given: Any) -> Setting:
    """One `[rules.ID]` table, checked against the rule."""
    rules = {rule.id: rule for rule in all_rules()}
    if id not in rules:
        raise unknown_key(place, f"rules.{id}", id, tuple(rules), "rule")
    where = f"rules.{id}"
    given = place.table(where, given)
    _known(place, given, _RULE, f"{where}.")
    reason = place.reason(where, given)
    severity = given.get("severity", {})
    if isinstance(severity, str):
        severity = dict.fromkeys(rules[id].outcomes, severity)
    for code in place.table(f"{where}.severity", severity):
        if code not in rules[id].outcomes:
            raise unknown_key(place, f"{where}.severity.{code}", code, tuple(rules[id].outcomes), "outcome")
    severities = {
        code: Severity[place.one_of(f"{where}.severity", word, _SEVERITIES).upper()] for code, word in severity.items()
    }
    options = place.table(f"{where}.options", given.get("options", {}))
    try:
        rules[id].with_options(options)
    except KeyError as fault:
        known = tuple(rules[id].options.__dataclass_fields__)
        raise unknown_key(place, f"{where}.options.{fault.args[0]}", fault.args[0], known, "option") from None
    except TypeError as fault:
        option, value, kind = fault.args
        raise place.fault(f"{where}.options.{option}", f"{value!r} cannot be its value", f"Give {kind}.") from None
    return Setting(reason, place.switch(f"{where}.enabled", given.get("enabled", True)), severities, options)


def _marks(place: Place, given: Mapping[str, Any]) -> Setting:
    """The `[marks]` table: what has to be printed at a shift, as a setting of the rule that looks for it."""
    _known(place, given, _MARKS, "marks.")
    needs = place.one_of("marks.shifts", given.get("shifts", "any"), _MARKED)
    severity = Severity[place.one_of("marks.severity", given.get("severity", "error"), _SEVERITIES).upper()]
    home = place.switch("marks.home", given.get("home", False))
    reason = place.reason("marks", given)
    if needs == "none":
        return Setting(reason, enabled=False)
    return Setting(reason, True, {"away": severity, "home": severity}, {"needs": needs, "home": home})


def _exception(place: Place, number: int, given: Mapping[str, Any]) -> Exemption:
    where = f"exceptions[{number}]"
    _known(place, given, _EXCEPTION, f"{where}.")
    rule = given.get("rule")
    ids = tuple(rule.id for rule in all_rules())
    if rule is not None and rule not in ids:
        raise unknown_key(place, f"{where}.rule", str(rule), ids, "rule")
    bars = None
    if "bars" in given:
        first, _, last = place.text_value(f"{where}.bars", str(given["bars"])).partition("-")
        bars = (first.strip(), (last or first).strip())
    part = None if "part" not in given else place.text_value(f"{where}.part", given["part"])
    if "file" in given:
        place.text_value(f"{where}.file", given["file"])
    return Exemption(place.reason(where, given), rule, part, bars)


def _known(place: Place, given: Mapping[str, Any], keys: tuple[str, ...], prefix: str) -> None:
    for key in given:
        if key not in keys:
            raise unknown_key(place, f"{prefix}{key}", key, keys, "key")


__all__ = ["BUILT_IN", "HousePolicy", "PolicyFile", "built_in", "read_policy"]
