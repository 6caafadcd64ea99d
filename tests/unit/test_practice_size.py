"""A sheet has a usual size: what has to be there stays, the rest by need; bars of the piece keep what they print."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

from lxml import etree

from rules import Bar, Exercise, Pitch, Section, SheetNote, Tone, chosen_exercises
from rules.practice.sheet import Need
from rules.practice.sheets.sheet_size import USUAL_SIZE, of_usual_size, put_aside_line
from service.config.options import read_options
from service.config.sheet_options import SheetFormat, SheetOptions
from service.naming import Language
from service.usecases.practice import practice, written

_BAR = Bar((SheetNote((Tone(Pitch.named("D5"), 1, 2),), Fraction(4), 3),), (4, 4), 0)


def section(name: str, weight: float, *needs: Need) -> Section:
    made = tuple(Exercise(f"{name}{number}", "", (_BAR,), need=need) for number, need in enumerate(needs))
    return Section(name, "", made, weight=weight)


def test_what_has_to_be_there_stays_and_the_rest_comes_by_need_then_by_weight() -> None:
    rare = section("rare", 1, Need.ALWAYS, *[Need.HELPFUL] * 20)
    common = section("common", 5, Need.ALWAYS, *[Need.CORE] * 4, *[Need.HELPFUL] * 10, Need.VARIANT)
    kept, put_aside = of_usual_size([rare, common])
    titles = [exercise.title for each in kept for exercise in each.exercises]
    assert len(titles) == USUAL_SIZE
    assert titles == [*(f"rare{n}" for n in range(9)), *(f"common{n}" for n in range(15))]
    assert len(put_aside) == 37 - USUAL_SIZE
    assert "13 more exercises" in put_aside_line(put_aside)


def test_nothing_that_has_to_be_there_is_put_aside() -> None:
    kept, _ = of_usual_size([section("a", 1, *[Need.ALWAYS] * 40, *[Need.CORE] * 10)])
    assert len([e for e in kept[0].exercises if e.need is Need.ALWAYS]) == 40


def test_a_short_sheet_loses_only_variants_and_names_them() -> None:
    kept, put_aside = of_usual_size([section("a", 1, Need.ALWAYS, Need.CORE, Need.VARIANT)])
    assert [e.title for e in kept[0].exercises] == ["a0", "a1"]
    assert "a2" in put_aside_line(put_aside)
    assert put_aside_line(()) == ""


_PRINTED = b"""<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Violin</part-name></score-part>
</part-list><part id="P1">%s</part></score-partwise>"""


def _note(step: str, octave: int, marks: str = "") -> str:
    return (
        f"<note><pitch><step>{step}</step><octave>{octave}</octave></pitch><duration>1</duration><voice>1</voice>"
        f"<type>quarter</type>{marks}</note>"
    )


def _printed_piece() -> bytes:
    """A climb to notes that first position does not have, with signs, letters, a hairpin and a slurred small note."""
    soft = "<direction><direction-type><dynamics><p/></dynamics></direction-type></direction>"
    grows = '<direction><direction-type><wedge type="crescendo"/></direction-type></direction>'
    ends = '<direction><direction-type><wedge type="stop"/></direction-type></direction>'
    dots = "<notations><articulations><staccato/></articulations></notations>"
    trill = "<notations><ornaments><trill-mark/></ornaments></notations>"
    small = (
        '<note><grace slash="yes"/><pitch><step>C</step><octave>6</octave></pitch><voice>1</voice><type>eighth</type>'
        '<notations><slur type="start" number="1"/></notations></note>'
    )
    close = '<notations><slur type="stop" number="1"/></notations>'
    begin = "<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>"
    first = begin + soft + "".join(_note(*each) for each in (("C", 5), ("D", 5), ("E", 5), ("F", 5)))
    second = _note("A", 5, dots) + grows + _note("B", 5) + _note("C", 6) + ends + _note("D", 6, trill)
    third = small + _note("B", 5, close) + _note("A", 5) + _note("G", 5) + _note("F", 5)
    bars = "".join(f'<measure number="{n}">{bar}</measure>' for n, bar in enumerate((first, second, third), 1))
    return _PRINTED % bars.encode()


def test_the_bars_in_the_piece_keep_signs_dynamics_and_small_slurs() -> None:
    made = practice(_printed_piece(), read_options({"level": ["first-and-third"]}))
    (shown,) = [exercise for exercise in made.sheet.exercises if exercise.title.startswith("In the piece")]
    alone = chosen_exercises(made.sheet, (shown.number,))
    root = etree.fromstring(written(alone, SheetFormat.MUSICXML, Language.BRITISH))
    count = {tag: len(list(root.iter(tag))) for tag in ("staccato", "trill-mark", "p", "wedge")}
    assert count == {"staccato": 1, "trill-mark": 1, "p": 1, "wedge": 2}
    small = [note for note in shown.notes if note.is_small]
    assert [note.bowed_on for note in small] == [True]


def test_a_sheet_of_usual_size_says_what_it_puts_aside_and_variants_print_it(sample_scores: dict[str, Path]) -> None:
    data, options = sample_scores["reed_crossing"].read_bytes(), read_options({"level": ["first-and-third"]})
    usual, whole = practice(data, options).sheet, practice(data, options, SheetOptions(variants=True)).sheet
    assert len(usual.exercises) < len(whole.exercises)
    assert any("Put aside" in remark for remark in usual.remarks)
    assert not any("Put aside" in remark for remark in whole.remarks)
    assert {e.title for e in usual.exercises if "In the piece" in e.title} == {
        e.title for e in whole.exercises if "In the piece" in e.title
    }
