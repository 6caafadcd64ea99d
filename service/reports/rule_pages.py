"""The rule reference as data and as a page: what each rule finds, why it matters, its options, and engraved examples.

The examples are the pictures that lie beside the rules, drawn from their fixtures by `make docs`.
What belongs here: putting rules and pictures together. What does not: a word about any single rule.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields
from functools import cache
from html import escape
from importlib.resources import files
from typing import Any, get_args, get_type_hints

from rules import Rule, all_rules

EXAMPLES = {"found": "Found", "clean": "Not found"}


@cache
def rule_reference() -> tuple[dict[str, Any], ...]:
    """Return every rule: id, title, rationale, scope, since, unseen, options, outcomes, and examples as SVG texts."""
    return tuple(_rule(rule) for rule in all_rules())


def _rule(rule: Rule) -> dict[str, Any]:
    return {
        "id": rule.id,
        "title": rule.title,
        "rationale": " ".join(rule.rationale.split()),
        "scope": rule.scope.value,
        "since": rule.since,
        "unseen": rule.unseen,
        "options": list(_options(rule)),
        "outcomes": {
            code: {"sentence": outcome.sentence, "severity": outcome.severity.word}
            for code, outcome in rule.outcomes.items()
        },
        "examples": {kind: picture_of(rule.id, kind) for kind in EXAMPLES},
    }


def _options(rule: Rule) -> Iterator[dict[str, Any]]:
    hints = get_type_hints(type(rule.options), include_extras=True)
    for option in fields(rule.options):
        kind, meaning = get_args(hints[option.name])[:2]
        default = getattr(rule.options, option.name)
        yield {"name": option.name, "kind": kind.__name__, "default": default, "meaning": meaning}


def picture_of(rule: str, kind: str) -> str:
    """Return the picture of a rule's example ("found" or "clean") as SVG.

    Raises:
        KeyError: if there is no such rule or kind.
    """
    if kind not in EXAMPLES or rule not in {known.id for known in all_rules()}:
        raise KeyError(f"{rule} {kind}")
    name = f"{rule.replace('-', '_')}.{kind}.svg"
    return (files("rules") / "check" / "catalogue" / "pictures" / name).read_text(encoding="utf-8")


def rule_page() -> str:
    """Return the reference as the inside of an HTML page; pictures are linked as `/rules/ID.KIND.svg`."""
    return "".join(_section(entry) for entry in rule_reference())


def _section(entry: dict[str, Any]) -> str:
    id = escape(entry["id"])
    seen = f"Not yet seen on real music: {escape(entry['unseen'])}." if entry["unseen"] else "Seen on real music."
    outcomes = "".join(
        f"<tr><td><code>{escape(code)}</code></td><td>{escape(found['sentence'])}</td><td>{found['severity']}</td></tr>"
        for code, found in entry["outcomes"].items()
    )
    options = "".join(
        f"<tr><td><code>{escape(o['name'])}</code></td><td>{escape(str(o['default']))}</td>"
        f"<td>{escape(o['meaning'])}</td></tr>"
        for o in entry["options"]
    )
    pictures = "".join(
        f'<figure><img src="/rules/{id}.{kind}.svg" alt="{word}: {escape(entry["title"])}">'
        f"<figcaption>{word}</figcaption></figure>"
        for kind, word in EXAMPLES.items()
    )
    return (
        f'<section id="{id}"><h2><code>{id}</code></h2><p><strong>{escape(entry["title"])}.</strong> '
        f"{escape(entry['rationale'])}</p><p>Looked for in: {escape(entry['scope'])}. {seen}</p>{pictures}"
        f"<table><thead><tr><th>outcome</th><th>says</th><th>severity</th></tr></thead>"
        f"<tbody>{outcomes}</tbody></table>"
        + (
            f"<table><thead><tr><th>option</th><th>default</th><th>meaning</th></tr></thead>"
            f"<tbody>{options}</tbody></table>"
            if options
            else "<p>No options.</p>"
        )
        + "</section>\n"
    )


__all__ = ["EXAMPLES", "picture_of", "rule_page", "rule_reference"]
