"""The glossary as a page: `make docs` writes it, a test compares it."""

from __future__ import annotations

import sys
from pathlib import Path

from service.messages.glossary import glossary
from service.naming import Language

PAGE = Path(__file__).resolve().parent.parent / "service" / "messages" / "GLOSSARY.md"
LANGUAGES = {
    Language.BRITISH: "English", Language.GERMAN: "Deutsch", Language.FRENCH: "Français",
    Language.ITALIAN: "Italiano", Language.SPANISH: "Español",
}  # fmt: skip


def page() -> str:
    """Return the page in Markdown: the terms side by side, then what they mean in each language."""
    lines = [
        "# Glossary",
        "",
        "Written by `make docs` from `glossary.toml`, which also names the works. The page shows the meaning of a term",
        "when it is pointed at or tapped.",
        "",
        f"| {' | '.join(LANGUAGES.values())} | source |",
        f"|{'---|' * (len(LANGUAGES) + 1)}",
    ]
    for term in glossary():
        lines.append(f"| {' | '.join(term.names(language)[0] for language in LANGUAGES)} | {term.source} |")
    for language, title in LANGUAGES.items():
        lines += ["", f"## {title}", ""]
        lines += [f"- **{term.names(language)[0]}**: {term.meaning(language)}" for term in glossary()]
    return "\n".join(lines) + "\n"


def main() -> int:
    """Write the page."""
    PAGE.write_text(page(), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
