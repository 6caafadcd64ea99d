"""What is generated from the declarations of options and settings: `make docs` writes it, a test compares it.

The guides in `service/config` and `service/http` have a table each between two comments; the page has `option_data.js`.
"""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path
from typing import Any

from pydantic.fields import FieldInfo

from service.config.options import Options, choices_of, repeatable_of
from service.config.settings import Settings, default_text

ROOT = Path(__file__).resolve().parent.parent
OPTIONS_PAGE = ROOT / "service" / "config" / "README.md"
SETTINGS_PAGE = ROOT / "service" / "http" / "README.md"
OPTION_DATA = ROOT / "service" / "web" / "static" / "state" / "option_data.js"


def option_table() -> str:
    """Return the options as a table in Markdown."""
    rows = [
        f"| `{name}` | {_values(name, field)} | {_meaning(field)} |" for name, field in Options.model_fields.items()
    ]
    return "\n".join(["| name | values (default first) | meaning |", "|---|---|---|", *rows])


def _values(name: str, field: FieldInfo) -> str:
    words = choices_of(field)
    if words is not None:
        default = words.word(field.default)
        listed = [default, *(word for word in words.values if word != default)]
        return ", ".join(f"`{word}`" for word in listed if word)
    if field.annotation is bool:
        return "`false`, `true`"
    schema = _schema(name)
    if "minimum" in schema:
        return f"{schema['minimum']:g} to {schema['maximum']:g}"
    examples = field.examples or []
    return "such as " + ", ".join(f"`{each}`" for each in _flat(examples[0]))


def _meaning(field: FieldInfo) -> str:
    words = choices_of(field)
    meanings = [] if words is None else [f"`{word}` ({text})" for word, text in words.meanings.items()]
    more = f": {', '.join(meanings)}" if meanings else ""
    return f"{field.description}{more}" + ("; repeatable" if repeatable_of(field) else "")


def _flat(example: Any) -> list[Any]:
    return example if isinstance(example, list) else [example]


def _schema(name: str) -> dict[str, Any]:
    schema = Options.model_json_schema()["properties"][name]
    return {**schema, **schema.get("anyOf", [{}])[0]}


def settings_table() -> str:
    """Return the settings as a table in Markdown."""
    rows = [
        f"| `--{name.replace('_', '-')}` | {default_text(field)} | {field.description} |"
        for name, field in Settings.model_fields.items()
    ]
    return "\n".join(["| flag | default | meaning |", "|---|---|---|", *rows])


def option_data() -> str:
    """Return the options as a JavaScript module for the page."""
    options = {name: _control(name, field) for name, field in Options.model_fields.items()}
    head = "// Written by `make docs` from service/config/options.py; change that, not this file.\n\n"
    return f"{head}export const OPTIONS = {json.dumps(options, ensure_ascii=False, indent=2)};\n"


def _control(name: str, field: FieldInfo) -> dict[str, Any]:
    schema, words = _schema(name), choices_of(field)
    control: dict[str, Any] = {"label": field.title, "help": field.description}
    default = schema["default"]
    control["default"] = "" if default is None else default
    if words is not None:
        control["choices"] = dict(words.labels)
    if "pattern" in schema:
        control["pattern"] = schema["pattern"]
    if "minimum" in schema:
        control |= {key: int(schema[key]) for key in ("minimum", "maximum")}
    if field.examples:
        control["example"] = str(_flat(field.examples[0])[0])
    return control


def with_tables(text: str) -> str:
    """Return a page in Markdown with its generated tables as they are now."""
    for name, table in (("options", option_table()), ("settings", settings_table())):
        start, end = f"<!-- {name}: written by `make docs` -->", f"<!-- end of {name} -->"
        block = re.compile(f"{re.escape(start)}\n.*?{re.escape(end)}", re.DOTALL)
        text = block.sub(lambda _, table=table, start=start, end=end: f"{start}\n{table}\n{end}", text)
    return text


def main() -> int:
    """Write the tables and the page's data, and name the files that changed."""
    pages = [(page, with_tables(page.read_text(encoding="utf-8"))) for page in (OPTIONS_PAGE, SETTINGS_PAGE)]
    for path, text in (*pages, (OPTION_DATA, option_data())):
        if not path.exists() or path.read_text(encoding="utf-8") != text:
            path.write_text(text, encoding="utf-8")
            sys.stdout.write(f"{path.relative_to(ROOT)}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
