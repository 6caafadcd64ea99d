"""The catalogues of translations: complete, up to date, and without a lost placeholder."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from string import Formatter

import pytest
from babel.messages.catalog import Message as Entry

from service.messages.translations import FOLDER, ZERO, forms_of, read_translations, translated_languages
from service.naming import Language
from service.web.page_texts import PAGE
from tests.message_catalogues import updated

LANGUAGES = translated_languages()


def entries(language: Language) -> Iterator[Entry]:
    return (entry for entry in read_translations(language) if entry.id)


def sources(entry: Entry) -> tuple[str, ...]:
    return (entry.id,) if isinstance(entry.id, str) else tuple(entry.id)


def translations(entry: Entry) -> tuple[str, ...]:
    return (entry.string,) if isinstance(entry.string, str) else tuple(entry.string)


def every_form(text: str) -> list[str]:
    word, forms = forms_of(text)
    return [word, *forms.values()]


def places(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name}


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_catalogue_holds_the_texts_that_are_shown_and_no_others(language: Language) -> None:
    assert (FOLDER / f"{language}.po").read_bytes() == updated(language), "run make messages, and translate what is new"


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_text_is_translated_for_certain(language: Language) -> None:
    found = list(entries(language))
    assert len(found) > 800
    assert [entry.id for entry in found if entry.fuzzy or not all(translations(entry))] == []
    assert [entry.id for entry in found if len(translations(entry)) != len(sources(entry))] == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_placeholder_is_lost_or_new(language: Language) -> None:
    wrong = []
    for entry in entries(language):
        wanted = places(sources(entry)[-1])
        for number, text in enumerate(translations(entry)):
            optional = {"n"} if number == 0 or ZERO in forms_of(text)[1] else set()
            wrong += [form for form in every_form(text) if not wanted - optional <= places(form) <= wanted | optional]
    assert wrong == []


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_form_that_a_sentence_asks_for_is_given_by_a_word(language: Language) -> None:
    given: set[str] = {ZERO}
    asked: Counter[str] = Counter()
    for entry in entries(language):
        for text in translations(entry):
            given |= forms_of(text)[1].keys()
            asked.update(spec for form in every_form(text) for _, _, spec, _ in Formatter().parse(form) if spec)
    assert set(asked) <= given
    assert given - {ZERO} <= set(asked), "a form that no sentence asks for"


@pytest.mark.parametrize("language", LANGUAGES)
def test_texts_of_the_page_alone_ask_for_no_form(language: Language) -> None:
    for entry in entries(language):
        if all(name.startswith(PAGE) for name, _ in entry.locations):
            assert all(forms_of(text)[1] == {} and ":" not in "".join(spec or "" for _, _, spec, _ in
                       Formatter().parse(text)) for text in translations(entry)), entry.id  # fmt: skip


@pytest.mark.parametrize("language", LANGUAGES)
def test_dashes_and_quotes_are_those_of_the_language(language: Language) -> None:
    quotes = {Language.GERMAN: "„“", Language.FRENCH: "«»", Language.ITALIAN: "«»", Language.SPANISH: "«»"}[language]
    for entry in entries(language):
        for text in translations(entry):
            assert not {*"„“”«»"} & {*text} - {*quotes}, text
            assert '"' not in text, text


def test_french_double_signs_stand_behind_a_space_that_does_not_break() -> None:
    for entry in entries(Language.FRENCH):
        for text in translations(entry):
            assert not any(f" {sign}" in text for sign in ":;?!»"), text
