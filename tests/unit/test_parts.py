"""Which part is the violin's: names in many languages, and what outranks what."""

from __future__ import annotations

import pytest
from lxml import etree

from service.errors import ScoreError
from service.musicxml.notation.instrument_names import named_instrument, names_another
from service.musicxml.notation.part_list import choose_parts, list_parts
from tests.small_scores import note

VIOLINS = (
    "Violin", "Violin I", "Violin II.", "1st Violin", "2nd Violin", "Violins 1", "Violino I.", "Violini", "Violine",
    "Violinen", "Solo-Violine", "Violon 2", "Violons", "Violín", "Vln.", "Vln. 1", "Vl. I", "Vn", "Vn.2", "Viool",
    "Geige", "Geigen", "Fiddle", "Fiolin", "Fiol", "Viulu", "hegedű", "Skrzypce", "Housle", "Keman", "Скрипка",
    "バイオリン", "ヴァイオリン", "小提琴", "바이올린", "Viloin 2", "Soprano Oboe 1,2 Violin1", "V1", "V. II",
    "Violines II", "Violinos", "Vni I", "Vno. solo", "Vl. solo", "Violino principale", "1. Violine", "Violin (solo)",
    "Viol. 1", "Fiðla", "Viulut", "Vioară I", "Цигулка", "Βιολί I", "כינור", "كمان", "Scordatura Violin", "Vl.1/2",
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
    "Altówka",
    "Alto (viola)",
    "Vle",
    "Viola I",
    "Violă",
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


@pytest.mark.parametrize("name", [*OTHERS, "Violoncelles", "Kontrabass", "Klavier", "Flauto", "Sopran", "B. c."])
def test_other_instruments_are_known_for_what_they_are(name: str) -> None:
    assert names_another(name)


@pytest.mark.parametrize(
    "name", [*VIOLINS, *VIOLAS, "Solo", "Melody", "1", "II", "", "Part 1", "Staff", "MusicXML Part"]
)
def test_names_that_say_violin_viola_or_nothing_name_no_other(name: str) -> None:
    assert not names_another(name)


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


def test_a_part_of_another_instrument_is_planned_as_asked_with_a_remark() -> None:
    quartet = score(*map(part, ("Violin I", "Viola", "Violoncello")))
    (viola,) = choose_parts(quartet, "violin", ("Viola",))
    assert "is for the viola by its name, and is planned here for the violin" in viola.remark
    assert not any(listing.remark for listing in choose_parts(quartet, "viola", ("Viola", "Violoncello")))


@pytest.mark.parametrize(
    ("names", "told"),
    [
        (("",), "the part is not marked as a violin part; it was read as one because of its clef and range"),
        (("Melody",), "the part Melody is not marked as a violin part"),
        (("Flute", "", "Horn", "Tuba"), "part 2 of 4 is not marked as a violin part; it was read as one because"),
    ],
)
def test_a_remark_calls_a_part_by_its_name_or_its_number(names: tuple[str, ...], told: str) -> None:
    listed = "".join(
        f'<score-part id="Pf31c{place}"><part-name>{name}</part-name></score-part>' for place, name in enumerate(names)
    )
    measure = f"<measure number='1'>{note('A4')}</measure>"
    parts = "".join(f'<part id="Pf31c{place}">{measure}</part>' for place in range(len(names)))
    root = etree.fromstring(f"<score-partwise><part-list>{listed}</part-list>{parts}</score-partwise>")
    (chosen,) = choose_parts(root, "violin")
    assert chosen.remark.startswith(told)


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
    assert "because of its clef and range" in only.remark


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


def with_clef(root: etree._Element, sign: str) -> etree._Element:
    for measure in root.iter("measure"):
        attributes = etree.SubElement(measure, "attributes")
        etree.SubElement(etree.SubElement(attributes, "clef"), "sign").text = sign
    return root


@pytest.mark.parametrize("name", ["Violoncello", "Vc.", "Flute", "Soprano"])
def test_a_lone_part_of_another_name_is_not_planned_as_a_violin(name: str) -> None:
    with pytest.raises(ScoreError) as raised:
        choose_parts(score(part(name)), "violin", ())
    assert raised.value.code == "no-part"
    assert ids(score(part(name)), "P1") == ["P1"], "but it is, if it is asked for"


def test_a_lone_part_in_a_bass_clef_is_not_taken() -> None:
    with pytest.raises(ScoreError, match="No part"):
        choose_parts(with_clef(score(part("Music")), "F"), "violin", ())


def test_a_lone_part_in_the_alto_clef_is_a_viola_part_with_a_remark() -> None:
    (only,) = choose_parts(with_clef(score(part("Solo"), octave=4), "C"), "viola", ())
    assert "not marked as a viola part" in only.remark


@pytest.mark.parametrize("names", [("Solo", "Piano"), ("", "Voice"), ("1", "Violoncello")])
def test_the_only_part_that_can_be_a_violin_is_taken_with_a_remark(names: tuple[str, str]) -> None:
    (only,) = choose_parts(score(*map(part, names)), "violin", ())
    assert (only.id, only.why) == ("P1", "range")
    assert "no other part can be one" in only.remark


def test_a_score_for_the_other_instrument_says_how_to_ask_for_it() -> None:
    with pytest.raises(ScoreError, match="instrument=viola"):
        choose_parts(score(part("Viola"), part("Piano")), "violin", ())


@pytest.mark.parametrize(("names", "viola"), [
    (("Violon I", "Violon II", "Alto", "Violoncelle"), ["P3"]),
    (("Soprano", "Alto", "Violon"), []),
])  # fmt: skip
def test_an_alto_beside_french_strings_is_a_viola(names: tuple[str, ...], viola: list[str]) -> None:
    found = [listing.id for listing in list_parts(score(*map(part, names))) if listing.instrument == "viola"]
    assert found == viola
