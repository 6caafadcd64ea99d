"""Pages for people who write clients: the reference, the rules, the faults.

Plain HTML without script; nothing comes from outside.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from html import escape
from typing import Any

from ...config.settings import Settings, variable

STYLE = """\
:root { color-scheme: light dark; }
body { font: 16px/1.5 system-ui, sans-serif; margin: 0 auto; max-width: 60rem; padding: 1rem; }
code, pre { font: 14px/1.4 ui-monospace, monospace; }
pre { overflow-x: auto; padding: .6rem; border: 1px solid #8886; border-radius: 4px; }
table { border-collapse: collapse; width: 100%; margin: .5rem 0 1.5rem; }
th, td { text-align: left; vertical-align: top; padding: .3rem .6rem .3rem 0; border-bottom: 1px solid #8884; }
h2 { margin-top: 2.5rem; } h3 { margin-top: 2rem; }
.method { display: inline-block; min-width: 3.5rem; font-weight: 600; }
"""
_STATUS_WORDS = "Status"


def _document(title: str, body: str) -> str:
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>{escape(title)}</title>'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f'<link rel="stylesheet" href="/reference.css"></head><body><main>'
        f"<h1>{escape(title)}</h1>\n{body}</main></body></html>\n"
    )


def _table(heads: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    """A table; cells are HTML already."""
    head = "".join(f'<th scope="col">{escape(each)}</th>' for each in heads)
    body = "\n".join("<tr>" + "".join(f"<td>{cell}</td>" for cell in row) + "</tr>" for row in rows)
    return f"<table><thead><tr>{head}</tr></thead><tbody>\n{body}</tbody></table>\n"


def _code(text: object) -> str:
    return f"<code>{escape(str(text))}</code>"


def rules_page(entries: Iterable[Mapping[str, Any]]) -> str:
    """Return the catalogue of rules as a page."""
    sections = []
    for entry in entries:
        rows = (
            [_code(code), escape(outcome["severity"]), escape(outcome["sentence"])]
            for code, outcome in entry["outcomes"].items()
        )
        sections.append(
            f'<h2 id="{escape(entry["id"])}">{_code(entry["id"])}</h2>\n'
            f"<p><strong>{escape(entry['title'])}</strong></p>"
            f"<p>{escape(entry['rationale'])}</p>\n{_table(('Outcome', 'Severity', 'Finding'), rows)}"
        )
    return _document("Rules", "\n".join(sections))


def problem_page(code: str, meaning: str) -> str:
    """Return what one kind of fault means as a page."""
    return _document(code, f'<p>{escape(meaning)}</p>\n<p><a href="/docs#faults">All faults</a></p>')


def reference_page(description: Mapping[str, Any], faults: Mapping[str, str], settings: Settings) -> str:
    """Return the whole reference, made of the service's own description of itself (OpenAPI)."""
    parts = [
        f"<p>{escape(description['info'].get('summary', ''))} Version {escape(description['info']['version'])}. "
        'For programs: <a href="/openapi.json">openapi.json</a>. Rules: <a href="/rules">rules</a>.</p>',
        "<h2>Addresses</h2>",
    ]
    for path, operations in description["paths"].items():
        for method, operation in operations.items():
            parts.append(_operation(description, path, method, operation))
    parts.append('<h2 id="faults">Faults</h2>\n<p>As problem details (RFC 9457); <code>code</code> never changes.</p>')
    parts.append(_table(("Code", "Meaning"), ([_code(code), escape(meaning)] for code, meaning in faults.items())))
    parts.append("<h2>Settings and limits</h2>")
    rows = (
        [_code(variable(name)), escape(str(field.description)), _code(_shown(getattr(settings, name)))]
        for name, field in Settings.model_fields.items()
    )
    parts.append(_table(("Variable", "Meaning", "Now"), rows))
    return _document("handframe: reference of the HTTP service", "\n".join(parts))


def _shown(value: Any) -> str:
    if isinstance(value, tuple):
        return ", ".join(value) or "none"
    return f"{value:,}" if isinstance(value, int) and value >= 10_000 else str(value)


def _operation(description: Mapping[str, Any], path: str, method: str, operation: Mapping[str, Any]) -> str:
    parts = [
        f'<h3 id="{escape(method + path)}"><span class="method">{escape(method.upper())}</span> {_code(path)}</h3>'
    ]
    parts += [f"<p>{escape(text)}</p>" for text in operation.get("description", "").split("\n\n") if text]
    body = operation.get("requestBody")
    if body:
        kinds = ", ".join(_code(kind) for kind in body["content"])
        parts.append(f"<p>Body: {escape(body.get('description', ''))} {kinds}</p>")
    rows = [
        [_code(each["name"]), escape(each["in"]), escape(each.get("description", "")), _code(_values(each["schema"]))]
        for each in operation.get("parameters", [])
    ]
    if rows:
        parts.append(_table(("Parameter", "In", "Meaning", "Values"), rows))
    answers = []
    for status, answer in operation["responses"].items():
        answer = _resolved(description, answer)
        headers = ", ".join(_code(name) for name in answer.get("headers", {}))
        answers.append(
            [_code(status), escape(answer["description"]), headers, ", ".join(map(_code, answer.get("content", {})))]
        )
    parts.append(_table((_STATUS_WORDS, "Answer", "Headers", "Media types"), answers))
    return "\n".join(parts)


def _values(schema: Mapping[str, Any]) -> str:
    if "enum" in schema:
        return ", ".join(map(str, schema["enum"]))
    if schema.get("type") == "array":
        return f"{_values(schema['items'])}; repeatable"
    if "minimum" in schema and "maximum" in schema:
        return f"{schema['minimum']:g} to {schema['maximum']:g}"
    return str(schema.get("const", schema.get("type", "")))


def _resolved(description: Mapping[str, Any], answer: Mapping[str, Any]) -> Mapping[str, Any]:
    reference = answer.get("$ref")
    if not reference:
        return answer
    found: Any = description
    for step in reference.removeprefix("#/").split("/"):
        found = found[step]
    return found  # type: ignore[no-any-return]
