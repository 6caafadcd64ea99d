"""Which printed words and lines are taken for marks to be written anew, and that they come back.

The forms are those that MusicXML gives directions, brackets and slides (W3C, MusicXML 4.0).
"""

from __future__ import annotations

import re

import pytest
from lxml import etree

from service.musicxml.file.elements import ElementRemoval
from service.musicxml.file.scan import end_of_element, find_elements
from service.musicxml.notation.outdated import find_outdated
from service.musicxml.read.reader import read_part
from service.musicxml.write.cleaning import clean, guard
from service.musicxml.write.splice import insert
from service.naming import is_own_word
from tests.small_scores import back, notations, note, root_of, words

_INSTRUCTION = re.compile(r"<\?handframe was [^?]*\?>")
START = '<bracket type="start" number="1" line-end="none" line-type="dashed"/>'
STOP = '<bracket type="stop" number="1" line-end="down" line-type="dashed"/>'
HOME = words("3rd pos.")


def direction(*types: str, after: str = "") -> str:
    inside = "".join(f"<direction-type>{each}</direction-type>" for each in types)
    return f'<direction placement="above">{inside}{after}</direction>'


def slide(edge: str, number: int = 1, text: str = "", line: str = ' line-type="solid"') -> str:
    return notations(f'<slide type="{edge}" number="{number}"{line}>{text}</slide>')


def left(*measures: str) -> str:
    """The measures without what is outdated; on the way, `clean` must give everything back."""
    text = etree.tostring(root_of(*measures))
    root = etree.fromstring(text)
    outdated = find_outdated(root, root.find("part"))
    written = insert(text, [removal for each in outdated for removal in each.removals])
    guard(text, written)
    assert clean(written) == text
    bare = _INSTRUCTION.sub("", written.decode())
    inside = re.search(r'<measure number="1">(.*)</measure>', bare)
    assert inside
    return inside[1].replace('</measure><measure number="2">', "|")


def unchanged(*measures: str) -> bool:
    """Whether nothing is taken out."""
    return left(*measures) == etree.tostring(root_of(*measures)).decode().split('<measure number="1">')[1].split(
        "</measure></part>"
    )[0].replace('</measure><measure number="2">', "|")


@pytest.mark.parametrize(
    "text",
    ["3rd pos.", "half pos.", "3a pos.", " 1st\n pos. ", "3. Lage", "halbe Lage", "3e pos.", "sul G", "SUL C", "III"],
)
def test_words_that_we_write_go(text: str) -> None:
    assert is_own_word(text)
    assert left(words(text) + note("C5")) == note("C5")


@pytest.mark.parametrize(
    "text", ["dolce", "3rd pos. dolce", "sul tasto", "V", "19th pos.", "pos.", "", "sul ponticello"]
)
def test_other_words_stay(text: str) -> None:
    assert not is_own_word(text)
    assert unchanged(words(text) + note("C5"))


@pytest.mark.parametrize(
    "shared",
    [
        direction("<words>3rd pos.</words><words>dolce</words>"),
        direction("<words>3rd pos.</words>", "<dynamics><f/></dynamics>"),
        direction("<words>3rd pos.</words>", after='<sound tempo="60"/>'),
        direction('<wedge type="crescendo"/>'),
        direction(""),
        direction("<words><!-- 3 -->3rd pos.</words>"),
        "<!-- " + HOME + " -->",
        "<other><direction><direction-type><words>3rd pos.</words></direction-type></direction></other>",
    ],
)
def test_what_shares_its_direction_with_something_else_stays(shared: str) -> None:
    assert unchanged(shared + note("C5"))


def test_the_one_after_look_alikes_is_the_one_that_goes() -> None:
    odd = "<!-- <direction> --><direction/><?x <direction> ?>" + words("dolce")
    assert left(
        odd + direction("<!-- </direction> --><words>3rd pos.</words>", after="<staff>1</staff>") + note("C5")
    ) == odd + note("C5")


@pytest.mark.parametrize(
    "start",
    [
        HOME + direction(START),
        direction(START) + HOME,
        direction("<words>3rd pos.</words>" + START),
        direction("<words>3rd pos.</words>", START),
        HOME + words("dolce") + direction(START),
        words("dolce") + HOME + direction(START),
    ],
)
def test_a_dashed_line_goes_with_its_words(start: str) -> None:
    kept = words("dolce") if "dolce" in start else ""
    assert left(start + note("C5"), note("D5") + direction(STOP) + note("E5")) == (
        kept + note("C5") + "|" + note("D5") + note("E5")
    )


def test_a_line_that_begins_a_note_late_goes_unless_other_words_stand_between() -> None:
    line = direction(START) + note("D5") + direction(STOP)
    assert left(HOME + note("C5") + line) == note("C5") + note("D5")
    assert left(HOME + note("C5") + words("rit.") + line) == note("C5") + words("rit.") + line
    assert left(HOME + note("C5"), line) == note("C5") + "|" + line


@pytest.mark.parametrize(
    "line",
    [
        direction(START.replace("dashed", "solid")) + note("C5") + direction(STOP),
        direction(START, '<wedge type="crescendo"/>') + note("C5") + direction(STOP),
        direction(START) + note("C5") + direction(STOP, '<wedge type="stop"/>'),
    ],
)
def test_a_line_of_another_kind_or_in_company_stays_whole(line: str) -> None:
    assert left(HOME + line) == line


def test_where_one_line_ends_the_next_may_begin_first() -> None:
    foreign = direction(START)
    crossing = foreign + note("C5") + HOME + direction(START) + "{}" + note("D5") + direction(STOP)
    assert left(words("rit.") + crossing.format(direction(STOP))) == (
        words("rit.") + foreign + note("C5") + direction(STOP) + note("D5")
    )


def test_an_offset_counts_for_the_moment() -> None:
    early = words("3rd pos.", "<offset>1</offset>")
    line = direction(START) + note("D5") + direction(STOP)
    assert left(early + words("dolce") + note("C5") + line) == words("dolce") + note("C5") + note("D5")
    assert left(HOME + words("dolce") + note("C5") + line) == words("dolce") + note("C5") + line


def test_slides_without_text_go_at_both_ends_and_others_stay_whole() -> None:
    empty = notations("")
    assert left(note("C5", inside=slide("start")) + note("D5", inside=slide("stop"))) == (
        note("C5", inside=empty) + note("D5", inside=empty)
    )
    assert left(note("C5", inside=slide("stop", line=""))) == note("C5", inside=empty)
    for other in (slide("start", text="gliss."), slide("start", line=' line-type="wavy"')):
        assert unchanged(note("C5", inside=other) + note("D5", inside=slide("stop")))


def test_slides_of_two_voices_and_lines_that_meet_are_told_apart() -> None:
    meeting = notations('<slide type="start" number="1">gliss.</slide><slide type="stop" number="1"/>')
    found = left(
        note("C5", inside=slide("start")) + note("D5", inside=meeting) + note("E5", inside=slide("stop"))
        + back(3) + note("C4", inside=slide("start"), voice="2") + note("D4", inside=slide("stop"), voice="2")
    )  # fmt: skip
    kept = [(each.get("type"), each.text) for each in etree.fromstring(f"<m>{found}</m>").iter("slide")]
    assert kept == [("start", "gliss."), ("stop", None)]
    assert found.index("gliss.") < found.index("stop") < found.index("<backup>")


def test_the_part_is_read_as_if_they_were_not_there() -> None:
    bars = (
        HOME + direction(START) + note("C5", inside=slide("start")) + words("dolce") + note("D5", inside=slide("stop"))
    )
    root = root_of(bars + direction(STOP) + note("E5"))
    before = etree.tostring(root)
    kept, replaced = read_part(root, "P1"), read_part(root, "P1", replace=True)
    assert [event.position for event in kept.passage.events] == [3, None, None]
    assert [event.position for event in replaced.passage.events] == [None, None, None]
    assert [each.text for each in replaced.passage.words] == ["dolce"]
    assert not any(each.techniques for each in replaced.passage.notes)
    assert any(each.techniques for each in kept.passage.notes)
    assert [replaced.places[each.id] for each in replaced.passage.notes] == [
        kept.places[each.id] for each in kept.passage.notes
    ]
    assert kept.outdated == ()
    assert etree.tostring(root) == before, "the document itself stays as it is"


def test_what_is_counted_stands_in_every_part_of_the_document() -> None:
    other = f'<part id="P2"><measure number="1">{HOME}{note("C5")}</measure></part>'
    names = '<score-part id="P2"><part-name>Violin II</part-name></score-part>'
    text = etree.tostring(root_of(words("dolce") + HOME + note("C5"), part_list=names, parts=other))
    root = etree.fromstring(text)
    first, second = (find_outdated(root, part) for part in root.iter("part"))
    assert [each.removals for each in first] == [(ElementRemoval("direction", 1),)]
    assert [each.removals for each in second] == [(ElementRemoval("direction", 2),)]


@pytest.mark.parametrize("ordinal", [-1, 1])
def test_an_element_that_is_not_there_is_a_mistake(ordinal: int) -> None:
    with pytest.raises(ValueError, match="there is no direction"):
        insert(b"<m><direction/></m>", [ElementRemoval("direction", ordinal)])


def test_an_element_within_its_own_kind_is_a_mistake() -> None:
    text = b"<m><direction><direction/></direction></m>"
    with pytest.raises(ValueError, match="holds another"):
        end_of_element(text, find_elements(text, "direction"), 0, "direction")
