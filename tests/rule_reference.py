"""The rule reference: `make docs` writes `rules/catalogue/README.md` from the rules and their fixtures.

What belongs here: the page as text, and the command that writes it. What does not: a word about any single rule.
"""

from __future__ import annotations

import sys
from dataclasses import fields
from pathlib import Path
from typing import Any, get_args, get_type_hints

import yaml

from rules import Rule, all_rules

ROOT = Path(__file__).resolve().parent.parent
PAGE = ROOT / "rules" / "catalogue" / "README.md"
FIXTURES = ROOT / "tests" / "catalogue"

HEAD = """# The rules

Written by `make docs` from the rules and their fixtures; change those, not this page. A rule's id and the codes of its
outcomes never change; their wording may. The short form of the examples: a pitch, a colon, its length in quarter notes;
`|` a bar line, `R` a rest, square brackets a chord, round brackets a slur.
"""


def page(rules: tuple[Rule, ...], fixtures: Path) -> str:
    """Return the reference as Markdown: a table of all rules, then each rule by itself."""
    table = ["| rule | fault | looked for in |", "|---|---|---|"]
    table += [f"| [`{rule.id}`](#{rule.id}) | {rule.title} | {rule.scope.value} |" for rule in rules]
    return "\n".join([HEAD, *table, "", *(_section(rule, _cases(rule, fixtures)) for rule in rules)])


def _section(rule: Rule, cases: dict[str, dict[str, Any]]) -> str:
    lines = [f"## {rule.id}", "", f"**{rule.title}.** " + " ".join(rule.rationale.split()), ""]
    lines += [
        f"Looked for in: {rule.scope.value}. Since {rule.since}.",
        "",
        "| outcome | says | severity |",
        "|---|---|---|",
    ]
    lines += [f"| `{code}` | {found.sentence} | {found.severity.word} |" for code, found in rule.outcomes.items()]
    lines += ["", *_options(rule), *_example("Found", cases, finds=True), *_example("Not found", cases, finds=False)]
    return "\n".join(lines)


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


def _example(heading: str, cases: dict[str, dict[str, Any]], *, finds: bool) -> list[str]:
    """Return the first case that finds something, or the first that finds nothing."""
    for title, case in cases.items():
        if bool(case["finds"]) == finds:
            return [f"{heading}: {title}", "", "```", str(case["passage"]).strip(), "```", ""]
    return []


def _cases(rule: Rule, fixtures: Path) -> dict[str, dict[str, Any]]:
    path = fixtures / f"{rule.id.replace('-', '_')}.yaml"
    return dict(yaml.safe_load(path.read_text(encoding="utf-8"))) if path.exists() else {}


def main() -> int:
    """Write the page and name it."""
    PAGE.write_text(page(all_rules(), FIXTURES), encoding="utf-8")
    sys.stdout.write(f"{PAGE.relative_to(ROOT)}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
