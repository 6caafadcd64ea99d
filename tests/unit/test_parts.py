"""Which part is the violin's: names in many languages, and what outranks what."""

from __future__ import annotations

import pytest
from lxml import etree

from service.errors import ScoreError
from service.musicxml.written.part_list import choose_parts, list_parts, named_instrument

VIOLINS = (
    "Violin", "Violin I", "Violin II.", "1st Violin", "2nd Violin", "Violins 1", "Violino I.", "Violini", "Violine",
    "Violinen", "Solo-Violine", "Violon 2", "Violons", "Violín", "Vln.", "Vln. 1", "Vl. I", "Vn", "Vn.2", "Viool",
    "Geige", "Geigen", "Fiddle", "Fiolin", "Fiol", "Viulu", "hegedű", "Skrzypce", "Housle", "Keman", "Скрипка",
    "バイオリン", "ヴァイオリン", "小提琴", "바이올린", "Viloin 2", "Soprano Oboe 1,2 Violin1", "V1", "V. II",
)  # fmt: skip
VIOLAS = (
    "Viola",
    "Viola.",
    "Violas",
    "Viole",
    "Bratsche",
    "Bratschen",
    "Tenor Viola",
    "Vla.",
    "Br.",
    "Альт",
    "Altviool",
)
OTHERS = (
    "Violoncello", "Violoncelle", "Cello", "Violone", "Viola da gamba", "Viola d'amore", "Violino piccolo", "Vocals",
    "Flute", "Piano", "Voice", "Vibraphone", "Contrabass", "Oboe 1", "Alto Saxophone", "Vc.", "Vlc.", "Alto", "Vox",
)  # fmt: skip


@pytest.mark.parametrize("name", VIOLINS)
def test_violin_is_known_by_its_name(name: str) -> None:
    assert named_instrument(name) == "violin"


@pytest.mark.parametrize("name", VIOLAS)
def test_viola_is_known_by_its_name(name: str) -> None:
    assert named_instrument(name) == "viola"


@pytest.mark.parametrize("name", OTHERS)
def test_other_instruments_are_neither(name: str) -> None:
    assert named_instrument(name) is None


def score(*parts: str, octave: int = 5) -> etree._Element:
    """A score with one note in each part; a part is the inside of its `<score-part>`."""
    part_list = "".join(f'<score-part id="P{index}">{inside}</score-part>' for index, inside in enumerate(parts, 1))
    music = "".join(
        f'<part id="P{index}"><measure number="1"><note><pitch><step>E</step><octave>{octave}</octave></pitch>'
        "<duration>1</duration></note></measure></part>"
        for index in range(1, len(parts) + 1)
    )
    return etree.fromstring(f"<score-partwise><part-list>{part_list}</part-list>{music}</score-partwise>")


def part(name: str, inside: str = "") -> str:
    return f"<part-name>{name}</part-name>{inside}"


def ids(root: etree._Element, *wanted: str, instrument: str = "violin") -> list[str]:
    return [listing.id for listing in choose_parts(root, instrument, wanted)]


def sound(text: str) -> str:
    named = '<score-instrument id="I"><instrument-name>x</instrument-name>'
    return f"{named}<instrument-sound>{text}</instrument-sound></score-instrument>"


def test_all_parts_of_the_instrument_are_chosen() -> None:
    quartet = score(*map(part, ("Violin I", "Violin II", "Viola", "Violoncello")))
    assert ids(quartet) == ["P1", "P2"]
    assert ids(quartet, instrument="viola") == ["P3"]


def test_part_is_found_by_id_or_name() -> None:
    quartet = score(*map(part, ("Violin I", "Violin II", "Viola", "Violoncello")))
    assert ids(quartet, "P4") == ["P4"]
    assert ids(quartet, "violin  ii") == ["P2"]
    assert ids(quartet, "P2", "Violin II") == ["P2"]


def test_sound_outranks_the_name() -> None:
    assert ids(score(part("Melody", sound("strings.violin")), part("Oboe"))) == ["P1"]


def test_midi_program_counts_only_where_nothing_is_named() -> None:
    program = '<midi-instrument id="I"><midi-program>41</midi-program></midi-instrument>'
    assert ids(score(part("", program), part("Flute"))) == ["P1"]
    listings = list_parts(score(part("Viola", program), part("Cello", program)))
    assert [listing.instrument for listing in listings] == ["viola", None]


def test_single_unnamed_treble_part_is_taken_with_a_remark() -> None:
    (only,) = choose_parts(score(part("Music")), "violin", ())
    assert only.why == "range"
    assert "because of its range" in only.remark


def test_single_bass_part_is_not_taken() -> None:
    with pytest.raises(ScoreError, match="No part of this score is marked as a violin part"):
        choose_parts(score(part("Music"), octave=2), "violin", ())


def test_no_violin_lists_the_parts() -> None:
    with pytest.raises(ScoreError, match=r"P1 \(Flute\), P2 \(Tuba\)") as raised:
        choose_parts(score(part("Flute"), part("Tuba"), octave=2), "violin", ())
    assert raised.value.code == "no-part"


def test_several_possible_parts_are_not_guessed() -> None:
    with pytest.raises(ScoreError, match=r"P1 \(Solo\), P2 \(Tutti\)") as raised:
        choose_parts(score(part("Solo"), part("Tutti")), "violin", ())
    assert raised.value.code == "unsure-part"


def test_unknown_part_lists_the_parts() -> None:
    with pytest.raises(ScoreError, match="There is no part 'Harp'") as raised:
        choose_parts(score(part("Violin")), "violin", ("Harp",))
    assert raised.value.code == "unknown-part"
