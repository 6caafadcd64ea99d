"""Collects every text that is shown and brings the catalogues up to date: `make messages`; a test compares them.

Texts stand in the code as `Message("…")`, `english("…")`, `counted("…", "…", n)` and `said("…")`, in the words of
the page (`service/web/static/text`), in the declarations of options, and in the rules of the catalogue.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator
from functools import cache
from io import BytesIO
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.pofile import write_po

from rules import LEVELS, SCALES, STANDARD, all_rules, terms_at
from service.cli.commands.weights import sentences_of
from service.config.options import Options, choices_of
from service.config.settings import Settings
from service.config.sheet_options import SheetOptions
from service.messages.translations import FOLDER, read_translations, translated_languages
from service.naming import Language

ROOT = Path(__file__).resolve().parent.parent
KEYWORDS = frozenset({"Message", "english", "counted", "said"})
PAGE_WORDS = ("words.js", "music_words.js")
WIDTH = 110
Entry = tuple[str, str | tuple[str, str]]
"""Where a text stands, and the text; two of them if it depends on a number."""
_JS_COUNT = re.compile(r'count\(\s*\w+,\s*"((?:[^"\\]|\\.)*)",\s*"((?:[^"\\]|\\.)*)"')
_JS_TEXT = re.compile(r'"((?:[^"\\]|\\.)*)"(\s*:)?')
_NO_TEXT = re.compile(
    r'^import [^\n]*|^\s*//[^\n]*|/\*\*.*?\*/|\.(?:join|split|replace)\("[^\n]*|[=!]== "[^"]*"',
    re.MULTILINE | re.DOTALL,
)


@cache
def texts() -> tuple[Entry, ...]:
    """Return every text that is shown, with the file in which it stands."""
    return (*_in_python(), *_on_the_page(), *_of_options(), *_of_rules())


def _in_python() -> Iterator[Entry]:
    for package in ("rules", "service"):
        for path in sorted((ROOT / package).rglob("*.py")):
            for call in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id in KEYWORDS:
                    found = [each.value for each in call.args if isinstance(each, ast.Constant)]
                    words = [text for text in found if isinstance(text, str) and text]
                    if words:
                        yield _name(path), (words[0], words[1]) if len(words) > 1 else words[0]


def _on_the_page() -> Iterator[Entry]:
    for name in PAGE_WORDS:
        path = ROOT / "service" / "web" / "static" / "text" / name
        script = _NO_TEXT.sub("", path.read_text(encoding="utf-8"))
        yield from ((_name(path), (_unescaped(one), _unescaped(many))) for one, many in _JS_COUNT.findall(script))
        strings = _JS_TEXT.findall(_JS_COUNT.sub("", script))
        yield from ((_name(path), _unescaped(text)) for text, colon in strings if text and not colon)


def _unescaped(text: str) -> str:
    return text.replace("\\n", "\n").replace('\\"', '"')


def _of_options() -> Iterator[Entry]:
    name = "service/config/options.py"
    for field in Options.model_fields.values():
        yield name, str(field.title)
        yield name, str(field.description)
        choice = choices_of(field)
        if choice is not None and not any(isinstance(value, Language) for value in choice.values.values()):
            yield from ((name, label) for label in choice.labels.values())

    for fields, file in ((SheetOptions.model_fields, "sheet_options"), (Settings.model_fields, "settings")):
        yield from ((f"service/config/{file}.py", str(field.description)) for field in fields.values())


def _of_rules() -> Iterator[Entry]:
    for rule in all_rules():
        name = f"rules/check/catalogue/{rule.id.replace('-', '_')}.py"
        yield name, rule.title
        yield name, " ".join(rule.rationale.split())
        for outcome in rule.outcomes.values():
            one, many, _ = outcome.templates
            yield name, (one, many) if many else one
    yield from (("rules/hand/level.py", level.summary) for level in LEVELS.values())
    yield from (("rules/cost/fingering_hand.py", about) for about in SCALES.values())
    for level in LEVELS.values():
        reasons = (each for term in terms_at(level, STANDARD) for each in sentences_of(term.reason))
        yield from (("rules/cost/standard_terms.py", each) for each in reasons)
        yield from (("rules/cost/standard_terms.py", term.quantity) for term in terms_at(level, STANDARD))
        moments = {term.circumstance for term in terms_at(level, STANDARD) if term.name != term.quantity}
        yield from (("rules/cost/standard_terms.py", each) for each in sorted(moments))


def _name(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def template() -> Catalog:
    """Return the texts as a catalogue without translations."""
    catalogue = Catalog(project="handframe", charset="utf-8")
    for name, text in texts():
        catalogue.add(text, locations=[(name, 0)])
    return catalogue


def updated(language: Language) -> bytes:
    """Return the catalogue of a language as it should stand in its file: new texts are empty, old ones are gone."""
    catalogue = read_translations(language)
    catalogue.update(template(), no_fuzzy_matching=True, update_creation_date=False)
    catalogue.obsolete.clear()
    catalogue.header_comment = f"# {language.value}: texts of handframe."
    for message in catalogue:
        message.locations = sorted(set(message.locations))
    written = BytesIO()
    write_po(written, catalogue, width=WIDTH, sort_output=True, include_lineno=False, ignore_obsolete=True)
    head, _, body = written.getvalue().decode().partition("\n\n")
    kept = [
        line
        for line in head.split("\n")
        if not re.match(
            r'"(POT-Creation|PO-Revision|Last-Translator|Language-Team|'
            r"Generated-By|Report-Msgid|Project-Id|MIME)",
            line,
        )
        and line != "#, fuzzy"
    ]
    return ("\n".join(kept) + "\n\n" + body.strip() + "\n").encode()


def main() -> int:
    """Write the catalogues, and name the files that changed."""
    for language in translated_languages():
        path = FOLDER / f"{language}.po"
        now = updated(language)
        if path.read_bytes() != now:
            path.write_bytes(now)
            sys.stdout.write(f"{_name(path)}\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
