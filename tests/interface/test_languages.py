"""Which language an answer is in: by header, by option, by default; and what each language calls things."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from rules import VIOLIN, Key, Pitch
from service.cli.main import main
from service.http.accept_language import language_of_header
from service.messages.message import Wording
from service.naming import Language, is_own_word, key_word, note_word, octave_word, position_word

LAGE, POS = "3. Lage", "3rd pos."


@pytest.mark.parametrize(
    ("header", "language"),
    [
        (None, "en-GB"), ("", "en-GB"), ("en", "en-GB"), ("en-US,en;q=0.9", "en-US"), ("de-AT, en;q=0.5", "de"),
        ("da, fr-CA;q=0.8, en;q=0.7", "fr"), ("en;q=0.3, es;q=0.8", "es"), ("it;q=0, en", "en-GB"),
        ("zh, ja", "en-GB"), ("it;q=much, *", "en-GB"),
    ],
)  # fmt: skip
def test_a_header_names_the_language_by_its_weights(header: str | None, language: str) -> None:
    assert language_of_header(header) == language


def test_reports_and_marks_follow_the_header_and_the_option_overrides_it(client: TestClient, waltz: bytes) -> None:
    german = {"Accept-Language": "de"}
    assert LAGE in client.post("/annotate", content=waltz, headers=german).text
    assert POS in client.post("/annotate?language=en-GB", content=waltz, headers=german).text
    marked = client.post("/annotate?mark_language=it", content=waltz, headers=german).text
    assert "3a pos." in marked
    assert LAGE not in marked
    for query, words in (("", "Takte 17–28"), ("?language=fr", "mesures 17-28"), ("?language=es", "compases 17-28")):
        review = client.post(f"/review{query}", content=waltz, headers=german).json()
        assert words in json.dumps(review, ensure_ascii=False)


def test_a_sheet_has_a_language_of_its_own_if_asked(client: TestClient, waltz: bytes) -> None:
    page = client.post("/practice?format=page&language=de", content=waltz).text
    assert '<html lang="de">' in page
    assert "Übeblatt" in page
    page = client.post("/practice?format=page&language=de&sheet_language=fr", content=waltz).text
    assert '<html lang="fr">' in page
    assert "Fiche d" in page
    assert "Übeblatt" not in page


def test_errors_rules_and_the_page_are_in_the_language_of_the_client(client: TestClient) -> None:
    german = {"Accept-Language": "de"}
    fault = client.post("/annotate", content=b"", headers=german)
    assert fault.json()["detail"] == "Die Datei ist leer."
    assert fault.json()["code"] == "empty"
    assert fault.headers["content-language"] == "de"
    assert client.post("/annotate", content=b"").json()["detail"] == "The file is empty."
    rules = client.get("/rules", headers=german | {"Accept": "text/html"}).text
    assert '<html lang="de">' in rules
    assert "Ein gehaltener Ton fällt auf eine leere Saite" in rules
    assert '<html lang="it">' in client.get("/", headers={"Accept-Language": "it"}).text
    assert '<html lang="en-GB">' in client.get("/").text
    assert client.get("/page/texts/de.json").json()["texts"]["Save"] == "Sichern"
    assert client.get("/page/texts/xx.json").status_code == 404


def test_a_command_says_its_error_in_the_language_that_it_names(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    empty = tmp_path / "empty.musicxml"
    empty.write_bytes(b"")
    assert main(["annotate", str(empty), "--language", "it"]) == 2
    assert "Il file è vuoto." in capsys.readouterr().err


def test_notes_are_named_and_counted_as_each_language_does() -> None:
    names = ("B4", "Bb4", "Eb5", "Ab3", "F#5", "Cbb4", "G3", "A4")
    pitches = [Pitch.named(name) for name in names]
    assert [note_word(p, Language.GERMAN) for p in pitches] == ["H", "B", "Es", "As", "Fis", "Ceses", "G", "A"]
    assert [octave_word(p, Language.GERMAN) for p in pitches] == ["h¹", "b¹", "es²", "as", "fis²", "ceses¹", "g", "a¹"]
    assert [note_word(p, Language.FRENCH) for p in pitches[:3]] == ["si", "si♭", "mi♭"]
    # A4 = 440 Hz (ISO 16) is la3 in France and Italy and la4 by the number of MusicXML (from memory).
    assert [octave_word(pitches[-1], each) for each in (Language.FRENCH, Language.ITALIAN, Language.SPANISH)] == [
        "la3", "la3", "la4",
    ]  # fmt: skip
    keys = [key_word(Key.named(name), each) for name, each in (("Bb", Language.GERMAN), ("Bm", Language.GERMAN),
            ("Bb", Language.FRENCH), ("F#m", Language.ITALIAN), ("Eb", Language.SPANISH))]  # fmt: skip
    assert keys == ["B-Dur", "h-Moll", "si bémol majeur", "fa diesis minore", "mi bemol mayor"]


@pytest.mark.parametrize("language", list(Language))
def test_position_words_of_every_language_are_read_back(language: Language) -> None:
    from service.musicxml.read.words import meaning_of

    for position in range(8):
        word = position_word(position, language)
        assert is_own_word(word)
        assert meaning_of(word, VIOLIN).position == position, word


def test_lists_and_decimals_are_written_as_each_language_does() -> None:
    said = {each: (Wording(each).all_of(["a", "b", "c"]), Wording(each).decimal(1.45)) for each in Language}
    assert said == {
        "en-GB": ("a, b and c", "1.4"), "en-US": ("a, b and c", "1.4"), "de": ("a, b und c", "1,4"),
        "fr": ("a, b et c", "1,4"), "it": ("a, b e c", "1,4"), "es": ("a, b y c", "1,4"),
    }  # fmt: skip
