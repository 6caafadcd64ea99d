"""Pages for people who write clients: the reference, the rules, the faults. Plain HTML without script."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from ...config.settings import Settings, variable
from ...messages import web_pages
from ...messages.message import Message, Wording
from ...naming import Language

ALL_FAULTS = Message("All faults")
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


def rules_page(entries: Iterable[Mapping[str, Any]], language: Language = Language.BRITISH) -> str:
    """Return the catalogue of rules as a page, in the language of the entries."""
    say = Wording(language).say
    words = {name: say(message) for name, message in web_pages.LIST_OF_RULES.items()}
    return _TEMPLATES.get_template("rules.html").render(title=words["title"], rules=entries, words=words, lang=language)


def problem_page(code: str, meaning: Message, wording: Wording) -> str:
    """Return what one kind of fault means as a page."""
    return _TEMPLATES.get_template("problem.html").render(
        title=code, meaning=wording.say(meaning), others=wording.say(ALL_FAULTS), lang=wording.language
    )


def reference_page(description: Mapping[str, Any], faults: Mapping[str, Message], settings: Settings) -> str:
    """Return the whole reference, made of the service's own description of itself (OpenAPI).

    It is in English alone: it is for people who write programs, names the same things as the description that
    programs read, and a translation that lags behind would tell them something wrong.
    """
    return _TEMPLATES.get_template("reference.html").render(
        title="handframe: reference of the HTTP service",
        info=description["info"],
        operations=[
            _operation(description, path, method, operation)
            for path, operations in description["paths"].items()
            for method, operation in operations.items()
        ],
        faults={code: meaning.text for code, meaning in faults.items()},
        settings=[
            (variable(name), field.description, getattr(settings, name))
            for name, field in Settings.model_fields.items()
        ],
    )


def _operation(description: Mapping[str, Any], path: str, method: str, operation: Mapping[str, Any]) -> dict[str, Any]:
    """What the template needs of one operation; references are followed, and what may be missing is empty."""
    body = operation.get("requestBody")
    return {
        "path": path,
        "method": method,
        "paragraphs": [text for text in operation.get("description", "").split("\n\n") if text],
        "body": body and {"description": body.get("description", ""), "content": body["content"]},
        "parameters": [{"description": "", **each} for each in operation.get("parameters", [])],
        "answers": {
            status: {"headers": {}, "content": {}, **_resolved(description, answer)}
            for status, answer in operation["responses"].items()
        },
    }


def _resolved(description: Mapping[str, Any], answer: Mapping[str, Any]) -> Mapping[str, Any]:
    reference = answer.get("$ref")
    if not reference:
        return answer
    target: Any = description
    for step in reference.removeprefix("#/").split("/"):
        target = target[step]
    return target  # type: ignore[no-any-return]


def _values(schema: Mapping[str, Any]) -> str:
    """The values that a schema allows, in short."""
    if "enum" in schema:
        return ", ".join(map(str, schema["enum"]))
    if schema.get("type") == "array":
        return f"{_values(schema['items'])}; repeatable"
    if "minimum" in schema and "maximum" in schema:
        return f"{schema['minimum']:g} to {schema['maximum']:g}"
    return str(schema.get("const", schema.get("type", "")))


def _setting(value: Any) -> str:
    if isinstance(value, tuple):
        return ", ".join(value) or "none"
    return f"{value:,}" if isinstance(value, int) and value >= 10_000 else str(value)


_TEMPLATES = Environment(
    loader=FileSystemLoader(Path(__file__).parents[1] / "templates"),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)
_TEMPLATES.filters |= {"values": _values, "setting": _setting}
