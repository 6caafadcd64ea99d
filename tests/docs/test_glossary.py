"""The glossary: whole in every language, its page fresh, its terms the ones that the texts use."""

from __future__ import annotations

import pytest

from service.messages.glossary import glossary
from service.messages.translations import read_translations, translated_languages
from service.naming import Language
from tests.glossary_page import PAGE, page


def test_the_page_is_fresh_and_the_readme_leads_there() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(), "write it anew: make docs"
    assert "service/messages/GLOSSARY.md" in (PAGE.parents[2] / "README.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("language", list(Language))
def test_every_term_has_a_name_and_one_line_of_meaning(language: Language) -> None:
    assert len(glossary()) >= 20
    for term in glossary():
        assert all(term.names(language)), term
        assert term.meaning(language).endswith("."), term
        assert "\n" not in term.meaning(language)
        assert len(term.meaning(language)) < 120, term
        assert term.source
    names = [name.casefold() for term in glossary() for name in term.names(language)]
    assert len(names) == len(set(names)), "a word with two meanings"


@pytest.mark.parametrize("language", translated_languages())
def test_the_texts_use_the_terms_of_the_glossary(language: Language) -> None:
    texts = " ".join(
        text for entry in read_translations(language) if entry.id
        for text in ([entry.string] if isinstance(entry.string, str) else entry.string)
    ).casefold()  # fmt: skip
    unused = [term.names(language)[0] for term in glossary()
              if not any(name.casefold() in texts for name in term.names(language))]  # fmt: skip
    assert unused == []
