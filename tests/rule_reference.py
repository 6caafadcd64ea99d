"""The rule reference: `make docs` writes `rules/check/catalogue/README.md` and its pictures from rules and fixtures."""

from __future__ import annotations

import sys
from dataclasses import fields
from pathlib import Path
from typing import Any, get_args, get_type_hints

import yaml

from rules import Rule, all_rules
from service.policies.policy_file import BUILT_IN, built_in
from tests.engraved_example import drawn_from, picture, source_of

ROOT = Path(__file__).resolve().parent.parent
PAGE = ROOT / "rules" / "check" / "catalogue" / "README.md"
PICTURES = ROOT / "rules" / "check" / "catalogue" / "pictures"
FIXTURES = ROOT / "tests" / "catalogue"

HEAD = """# The rules

Written by `make docs` from the rules and their fixtures; change those, not this page. A rule's id and the codes of its
outcomes never change; their wording may. Above the notes of an example stands what the part prints, below them the
stops that are taken: string, finger, and the position where it changes. The examples are also given in the short form:
a pitch, a colon, its length in quarter notes; `|` a bar line, `R` a rest, square brackets a chord, round brackets a
slur, braces what is printed on a note.
"""


def page(rules: tuple[Rule, ...], fixtures: Path) -> str:
    """Return the reference as Markdown: a table of all rules, then each rule by itself."""
    table = ["| rule | fault | looked for in |", "|---|---|---|"]
    table += [f"| [`{rule.id}`](#{rule.id}) | {rule.title} | {rule.scope.value} |" for rule in rules]
    return "\n".join([HEAD, *table, "", *(_section(rule, cases_of(rule, fixtures)) for rule in rules)])


def _section(rule: Rule, cases: dict[str, dict[str, Any]]) -> str:
    seen = f"Not yet seen on real music: {rule.unseen}." if rule.unseen else "Seen on real music."
    lines = [f"## {rule.id}", "", f"**{rule.title}.** " + " ".join(rule.rationale.split()), ""]
    lines += [f"Looked for in: {rule.scope.value}. Since {rule.since}. {seen}", "", *_outcomes(rule), ""]
    lines += [*_options(rule), *_example(rule, "Found", cases, finds=True)]
    return "\n".join([*lines, *_example(rule, "Not found", cases, finds=False)])


def _outcomes(rule: Rule) -> list[str]:
    """A table of outcomes; a column for each built-in policy that makes something else of one."""
    own: dict[str, dict[str, str]] = {}
    for name in BUILT_IN:
        changed = next((r for r in built_in(name).for_file("").rules if r.id == rule.id), None)
        severities = {code: changed.outcomes[code].severity.word if changed else "off" for code in rule.outcomes}
        if severities != {code: outcome.severity.word for code, outcome in rule.outcomes.items()}:
            own[name] = severities
    lines = [
        "| outcome | says | severity |" + "".join(f" in policy `{name}` |" for name in own),
        "|---|---|---|" + "---|" * len(own),
    ]
    for code, outcome in rule.outcomes.items():
        more = "".join(f" {severities[code]} |" for severities in own.values())
        lines.append(f"| `{code}` | {outcome.sentence} | {outcome.severity.word} |{more}")
    return lines


def _options(rule: Rule) -> list[str]:
    if not fields(rule.options):
        return ["No options.", ""]
    hints = get_type_hints(type(rule.options), include_extras=True)
    rows = []
    for option in fields(rule.options):
        kind, *meaning = get_args(hints[option.name]) or (hints[option.name],)
        word = getattr(kind, "__name__", str(kind))
        rows.append(
            f"| `{option.name}` | {word} | {getattr(rule.options, option.name)} | {' '.join(map(str, meaning))} |"
        )
    return ["| option | kind | default | meaning |", "|---|---|---|---|", *rows, ""]


def _example(rule: Rule, heading: str, cases: dict[str, dict[str, Any]], *, finds: bool) -> list[str]:
    found = example_of(cases, finds=finds)
    if found is None:
        return []
    title, case = found
    stops = [str(case["stops"]).strip()] if "stops" in case else []
    name = picture_name(rule, finds=finds)
    return [f"{heading}: {title}", "", f"![{title}](pictures/{name})", "",
            "```", str(case["passage"]).strip(), *stops, "```", ""]  # fmt: skip


def example_of(cases: dict[str, dict[str, Any]], *, finds: bool) -> tuple[str, dict[str, Any]] | None:
    """Return title and case of the first that finds something, or of the first that finds nothing."""
    return next(((title, case) for title, case in cases.items() if bool(case["finds"]) == finds), None)


def picture_name(rule: Rule, *, finds: bool) -> str:
    """Return the file name of an example's picture."""
    return f"{rule.id.replace('-', '_')}.{'found' if finds else 'clean'}.svg"


def wanted_pictures(rules: tuple[Rule, ...], fixtures: Path) -> dict[str, dict[str, Any]]:
    """Return the cases that are drawn, by file name."""
    wanted = {}
    for rule in rules:
        for finds in (True, False):
            example = example_of(cases_of(rule, fixtures), finds=finds)
            if example is not None:
                wanted[picture_name(rule, finds=finds)] = example[1]
    return wanted


def stale_pictures(rules: tuple[Rule, ...], fixtures: Path, pictures: Path) -> list[str]:
    """Return the names of pictures that are missing, left over, or drawn from another case."""
    wanted = wanted_pictures(rules, fixtures)
    there = {path.name: drawn_from(path.read_text(encoding="utf-8")) for path in pictures.glob("*.svg")}
    fresh = {name for name, case in wanted.items() if there.get(name) == source_of(case)}
    return sorted((wanted.keys() | there.keys()) - fresh)


def cases_of(rule: Rule, fixtures: Path) -> dict[str, dict[str, Any]]:
    """Return the cases of a rule's fixture; none if it has no fixture yet."""
    path = fixtures / f"{rule.id.replace('-', '_')}.yaml"
    return dict(yaml.safe_load(path.read_text(encoding="utf-8"))) if path.exists() else {}


def main() -> int:
    """Write the page and the pictures that changed, take away those left over, and name what was written."""
    PAGE.write_text(page(all_rules(), FIXTURES), encoding="utf-8")
    PICTURES.mkdir(exist_ok=True)
    wanted = wanted_pictures(all_rules(), FIXTURES)
    written = [PAGE]
    for name in stale_pictures(all_rules(), FIXTURES, PICTURES):
        if name in wanted:
            (PICTURES / name).write_text(picture(wanted[name]), encoding="utf-8")
            written.append(PICTURES / name)
        else:
            (PICTURES / name).unlink()
    sys.stdout.write("".join(f"{path.relative_to(ROOT)}\n" for path in written))
    return 0


if __name__ == "__main__":
    sys.exit(main())
