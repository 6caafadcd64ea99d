"""ABC as it is read: by the examples and rules of the ABC standard 2.1 (abcnotation.com/wiki/abc:standard:v2.1)."""

from __future__ import annotations

import pytest
from lxml import etree

from service.config.options import read_options
from service.errors import ScoreError
from service.musicxml.formats.abc import marks
from service.musicxml.formats.abc.file import read_abc
from service.musicxml.formats.abc.reader import read_tune
from service.musicxml.formats.abc.score import write_tune
from service.usecases.annotate import AnnotatedScore, annotate
from tests.schema import is_valid


def root_of(body: str, header: str = "M:4/4\nL:1/8\nK:C") -> etree._Element:
    """The MusicXML of a tune; it must be valid."""
    file = read_abc(f"%abc-2.1\nX:1\n{header}\n{body}\n".encode())
    data = write_tune(file, file.tunes[0]).data
    assert is_valid(data), data.decode()
    return etree.fromstring(data)


def sounds(body: str, header: str = "M:4/4\nL:1/8\nK:C") -> str:
    """The notes of a tune in short: letter, alteration, octave and length in quarters; chords joined, rests as z."""
    file = read_abc(f"%abc-2.1\nX:1\n{header}\n{body}\n".encode())
    found = []
    for voice in read_tune(file, file.tunes[0]):
        for bar in voice.bars:
            for sound in (sound for layer in bar.layers for sound in layer):
                heads = "+".join(f"{h.step}{'#' * h.alter or 'b' * -h.alter}{h.octave}" for h in sound.heads) or "z"
                found.append(heads + (":grace" if sound.grace else f":{sound.beats}"))
    return " ".join(found)


@pytest.mark.parametrize(("body", "expected"), [
    ("C, C c c'", "C3:1/2 C4:1/2 C5:1/2 C6:1/2"),  # 4.1
    ("^F ^^F =F _B __B", "F#4:1/2 F##4:1/2 F4:1/2 Bb4:1/2 Bbb4:1/2"),  # 4.2
    ("^F F | F", "F#4:1/2 F#4:1/2 F4:1/2"),
    ("^F f", "F#4:1/2 F#5:1/2"),  # 11.3: to every octave
    ("A2 A/ A/2 A3/2 A// A0", None),
    ("A2 A/ A/2 A3/2 A//", "A4:1 A4:1/4 A4:1/4 A4:3/4 A4:1/8"),  # 4.3
    ("A>B A<B A>>B", "A4:3/4 B4:1/4 A4:1/4 B4:3/4 A4:7/8 B4:1/8"),  # 4.4
    ("z2 x2 A4", "z:1 z:1 A4:2"),  # 4.5
    ("Z2 | A8", "z:4 z:4 A4:4"),
    ("(3ABc (5:4:5ABcde", "A4:1/3 B4:1/3 C5:1/3 A4:2/5 B4:2/5 C5:2/5 D5:2/5 E5:2/5"),  # 4.13
    ("{g}A {/gc}B", "G5:grace A4:1/2 G5:grace C5:grace B4:1/2"),  # 4.12
    ("[CEG]2 [C2E4]", "C4+E4+G4:1 C4+E4:1"),  # 4.17
    ("^c2- | c2 c2", "C#5:1 C#5:1 C5:1"),  # a tie carries the accidental over the bar line
    ('"Am"A "^up"B "@1,2 here"c', "A4:1/2 B4:1/2 C5:1/2"),  # 4.18, 4.19
    ("A2 & C2 | D2", "A4:1 C4:1 D4:1"),  # 7.4
    ("A\\\nB % a remark\nC", "A4:1/2 B4:1/2 C4:1/2"),
    ("[K:G]F [M:3/4] F [L:1/4] F", "F#4:1/2 F#4:1/2 F#4:1"),  # 3.2
])  # fmt: skip
def test_notes_are_read_as_the_standard_says(body: str, expected: str | None) -> None:
    if expected is None:
        with pytest.raises(ScoreError, match="cannot be written"):
            sounds(body)
    else:
        assert sounds(body) == expected


@pytest.mark.parametrize(("key", "altered"), [
    ("D", "F# C#"), ("Bb", "B- E-"), ("F#m", "F# C# G#"), ("A dor", "F#"), ("D mixolydian", "F#"), ("Ephr", ""),
    ("HP", ""), ("Hp", "F# C#"), ("none", ""), ("D exp _b _e ^f", "B- E- F#"), ("D =c", "F#"), ("G clef=alto", "F#"),
    ("Am treble", ""), ("C bass", ""),
])  # fmt: skip
def test_keys(key: str, altered: str) -> None:
    scale = sounds("F C G D A E B", f"L:1/4\nK:{key}").replace("4:1", "").replace("3:1", "").replace("b", "-").split()
    assert {note for note in scale if len(note) > 1} == set(altered.split())


@pytest.mark.parametrize(
    ("metre", "unit"), [("4/4", "1/2"), ("6/8", "1/2"), ("2/4", "1/4"), ("C|", "1/2"), ("none", "1/2")]
)
def test_the_unit_of_length_follows_the_metre(metre: str, unit: str) -> None:
    assert sounds("A", f"M:{metre}\nK:C") == f"A4:{unit}"


def test_fingerings_are_kept_as_decorations_and_as_collections_write_them() -> None:
    root = root_of('!1!A "4"e [!1!D!3!B] !0!d2')
    digits = [[f.text for f in note.iter("fingering")] for note in root.iter("note")]
    assert digits == [["1"], ["4"], ["1"], ["3"], ["0"]]
    assert root.find(".//harmony") is None


def test_voices_have_their_names_and_clefs() -> None:
    header = 'M:4/4\nL:1/4\nV:1 name="Violino I" snm="Vl. I"\nV:2 nm=Viola clef=alto\nV:Bass clef=bass\nK:D'
    root = root_of("V:1\nABcd|\nV:2\nDEFG|\n[V:Bass] D,4|", header)
    listed = [(p.findtext("part-name"), p.findtext("part-abbreviation")) for p in root.iter("score-part")]
    assert listed == [("Violino I", "Vl. I"), ("Viola", None), ("Bass", None)]
    assert [clef.findtext("sign") for clef in root.iter("clef")] == ["G", "C", "F"]


@pytest.mark.parametrize(("body", "numbers"), [
    ("A2|B8|c8|", "0 1 2"),
    ("A8|B8|", "1 2"),
    ("A2|B8|c6:|A2|B8|", "0 1 2 X1 3"),  # a section with a pick-up of its own
    ("A8|B4||c4|d8|", "1 2 X1 3"),  # a double bar in the middle of a bar
    ("|: A8 :|1 B8 :|2 c8 |]", "1 2 3"),
])  # fmt: skip
def test_bars_are_numbered_as_an_edition_prints_them(body: str, numbers: str) -> None:
    assert [measure.get("number") for measure in root_of(body).iter("measure")] == numbers.split()


def test_repeats_and_endings() -> None:
    root = root_of("|: A8 |1 B8 :|2 c8 |] d8 |]")
    found = []
    for line in root.iter("barline"):
        inside = [f"{each.tag} {each.get('type') or each.get('direction')}" for each in line if each.tag != "bar-style"]
        found.append((line.getparent().get("number"), line.get("location"), *inside))
    assert found == [
        ("1", "left", "repeat forward"),
        ("2", "left", "ending start"),
        ("2", "right", "ending stop", "repeat backward"),
        ("3", "left", "ending start"),
        ("3", "right", "ending discontinue"),
        ("4", "right"),
    ]


def test_lengths_that_no_note_has_are_tied() -> None:
    root = root_of("A5 z3")
    notes = [(n.findtext("type"), [t.get("type") for t in n.findall("tie")]) for n in root.iter("note")]
    assert notes == [("half", ["start"]), ("eighth", ["stop"]), ("quarter", [])]


def test_slurs_bowings_and_beams() -> None:
    root = root_of("u(A2 vB2) AB cd | ~A2 .B2 TA2 !accent!B2")
    assert [slur.get("type") for slur in root.iter("slur")] == ["start", "stop"]
    assert [mark.tag for mark in root.iter("up-bow", "down-bow")] == ["up-bow", "down-bow"]
    assert [beam.text for beam in root.iter("beam")] == ["begin", "end", "begin", "end"]
    marks = ("turn", "staccato", "trill-mark", "accent")
    assert {mark.tag for mark in root.iter(*marks)} == set(marks)


def test_the_tempo() -> None:
    root = root_of("A8", 'M:4/4\nL:1/8\nQ:"Allegretto" 3/8=50\nK:C')
    assert [sound.get("tempo") for sound in root.iter("sound")] == ["75"]
    assert root.findtext(".//words") == "Allegretto"


@pytest.mark.parametrize(
    ("body", "line"), [("A8|\nB8 ^^^ |", 7), ("m: ~n3 = n/n/n/\nA8", 6), ("[]8", 6), ("M:x\nA8", 6)]
)
def test_what_is_no_abc_is_refused_with_its_line(body: str, line: int) -> None:
    with pytest.raises(ScoreError) as refused:
        sounds(body)
    assert refused.value.where == f"line {line}"


# -- ABC as the answer -------------------------------------------------------------------------------------------------

_COLLECTION = (
    "%abc-2.1\r\n% gezeichnet: Straße\r\nX:1\r\nT:Quay Reel\r\nM:4/4\r\nL:1/8\r\nK:D\r\n"
    "A2|\"Em\"d2 !3!f2 {g}(a2 b2)|[df]2 c'4 z2|d'8|]  % end\r\nw: la la\r\n\r\n"
    "X:2\r\nT:Slack\r\nM:3/4\r\nL:1/4\r\nK:C\r\ne a c'|d'3|]\r\n"
)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "latin-1"])
@pytest.mark.parametrize("fingers", ["essential", "all"])
def test_marks_are_spliced_into_abc_and_nothing_else_changes(encoding: str, fingers: str) -> None:
    data = _COLLECTION.encode(encoding)
    answer = annotate(data, read_options({"notation": ["abc"], "tune": ["all"], "fingers": [fingers]}))
    assert answer.kind == "abc"
    assert len(answer.data) > len(data)
    rest = iter(answer.data)
    assert all(byte in rest for byte in data), "every byte is there, in order"
    text = answer.data.decode("latin-1" if encoding == "latin-1" else "utf-8")
    added = text.count("!") - _COLLECTION.count("!") + 2 * (text.count('"^') - _COLLECTION.count('"^'))
    assert added > 0
    assert '"^3rd pos."' in text


def _stops(answer: AnnotatedScore) -> list[object]:
    return [placed.stop for placed in answer.parts[0].review.plan.rows]


def test_marked_abc_is_planned_as_it_is_marked() -> None:
    options = read_options({"notation": ["abc"], "fingers": ["all"]})
    first = annotate(_COLLECTION.encode(), options)
    again = annotate(first.data, options)
    assert _stops(again) == _stops(first)
    assert again.data == first.data


def test_one_tune_of_a_collection_is_marked_alone() -> None:
    answer = annotate(_COLLECTION.encode(), read_options({"notation": ["abc"], "tune": ["2"], "fingers": ["all"]}))
    before, after = _COLLECTION.split("X:2"), answer.data.decode().split("X:2")
    assert after[0] == before[0]
    assert after[1] != before[1]


def test_marks_that_make_a_tune_unreadable_are_not_handed_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(marks, "_spliced", lambda text, fingers, words: text.replace("K:C\r\n", "K:C\r\nm:x=y\r\n"))
    with pytest.raises(ScoreError) as refused:
        annotate(_COLLECTION.encode(), read_options({"notation": ["abc"], "tune": ["all"]}))
    assert refused.value.code == "mark-misplaced"


def test_a_tune_that_could_not_be_read_before_does_not_stop_another() -> None:
    broken = _COLLECTION.replace("K:D\r\n", "K:D\r\nm:x=y\r\n")
    answer = annotate(broken.encode(), read_options({"notation": ["abc"], "tune": ["2"], "fingers": ["all"]}))
    assert answer.data.decode().startswith(broken[: broken.index("X:2")])
