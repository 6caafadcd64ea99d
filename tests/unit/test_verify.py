"""Notes that stand where they must not, and the last check that every mark stands at its note."""

from __future__ import annotations

import pytest

from service.config.file_limits import Limits
from service.config.options import Options
from service.errors import ScoreError
from service.musicxml.file.container import open_document
from service.musicxml.file.elements import Mark, NoteMark, WordsMark
from service.musicxml.write.splice import insert
from service.musicxml.write.verify import intended_places, places_of_marks, verify
from service.usecases.annotate import annotate

NOTE = "<note><pitch><step>A</step><octave>4</octave></pitch><duration>1</duration></note>"


def score(*, head: str = "", between: str = "", inside: str = "") -> bytes:
    return (
        f'<score-partwise version="4.0">{head}<part-list><score-part id="P1"><part-name>Violin</part-name>'
        f'</score-part></part-list><part id="P1">{between}<measure number="1">'
        f"<attributes><divisions>1</divisions></attributes>{inside}{NOTE}{NOTE}</measure></part></score-partwise>"
    ).encode()


@pytest.mark.parametrize(
    ("data", "parent"),
    [
        pytest.param(score(head=f"<identification>{NOTE}</identification>"), "identification", id="identification"),
        pytest.param(score(between=NOTE), "part", id="between measures"),
        pytest.param(score(inside=f"<attributes>{NOTE}</attributes>"), "attributes", id="attributes"),
        pytest.param(score(inside=f"<direction>{NOTE}</direction>"), "direction", id="direction"),
        pytest.param(score(inside=f"<note>{NOTE}</note>"), "note", id="nested"),
        pytest.param(score(inside=f"<measure>{NOTE}</measure>"), "measure", id="measure in a measure"),
    ],
)
def test_a_note_outside_a_measure_is_refused(data: bytes, parent: str) -> None:
    with pytest.raises(ScoreError, match=f"<{parent}>") as caught:
        annotate(data, Options())
    assert caught.value.code == "misplaced-note"
    assert caught.value.where == "line 1"


@pytest.mark.parametrize("note", ["<note/>", "<note></note >", "<note >\n</note\t>", NOTE])
def test_the_limit_counts_notes_however_they_are_written(note: str) -> None:
    data = score(inside=note * 5)
    open_document(data, Limits(notes=7))
    with pytest.raises(ScoreError, match="Too many notes: 7;"):
        open_document(data, Limits(notes=6))


def test_other_tags_that_begin_alike_are_no_notes() -> None:
    open_document(score(inside="<notehead/>" * 5), Limits(notes=2))


MARKS: list[Mark] = [WordsMark(1, text="3rd pos."), NoteMark(1, finger=2)]


def test_marks_stand_where_they_are_meant_to() -> None:
    document = open_document(score())
    marked = insert(document.working, MARKS)
    assert places_of_marks(marked, document.notes) == intended_places(MARKS) == {1: {"before", "inside"}}
    verify(document, marked, MARKS)


@pytest.mark.parametrize("wrong", [[WordsMark(0, text="3rd pos."), MARKS[1]], [MARKS[0], NoteMark(0, finger=2)], []])
def test_a_mark_at_another_note_never_leaves(wrong: list[Mark]) -> None:
    document = open_document(score())
    with pytest.raises(ScoreError) as caught:
        verify(document, insert(document.working, wrong), MARKS)
    assert caught.value.code == "mark-misplaced"


def test_instructions_left_over_in_the_file_do_not_count_as_marks() -> None:
    document = open_document(score(head="<identification><?handframe begin?></identification>", inside=NOTE))
    for marks in (MARKS, [WordsMark(0, text="3rd pos."), *MARKS]):
        verify(document, insert(document.working, marks), marks)
    with pytest.raises(ScoreError):
        verify(document, insert(document.working, [NoteMark(0, finger=2)]), MARKS)


BEFORE = "<?handframe begin?><direction/><?handframe end?>"


@pytest.mark.parametrize(
    ("text", "places"),
    [
        pytest.param(f"<m>{BEFORE}<note/><note/></m>", {0: {"before"}}, id="before a note"),
        pytest.param(f"<m><note/>{BEFORE}{BEFORE}<note/></m>", {1: {"before"}}, id="two before one note"),
        pytest.param(f"<m><note/>{BEFORE}<x><y/></x><note/></m>", {1: {"before"}}, id="something between"),
        pytest.param(f"<m><note>{BEFORE}<x/></note><note/></m>", {0: {"inside"}}, id="inside a note"),
        pytest.param(f"<m><note><x><y/>{BEFORE}</x></note><note/></m>", {0: {"inside"}}, id="deep inside a note"),
        pytest.param(f"<m>{BEFORE}</m><m><note/></m>", {-1: {"before"}}, id="in another measure"),
        pytest.param(f"<m><x>{BEFORE}</x><note/></m>", {-1: {"before"}}, id="in another element"),
        pytest.param(f"<m>{BEFORE}<x><note/></x></m>", {-1: {"before"}}, id="before an element with a note"),
        pytest.param(f"<m><note/>{BEFORE}</m>", {-1: {"before"}}, id="behind the last note"),
        pytest.param(f"<m><!--{BEFORE}--><note/></m>", {}, id="in a comment"),
        pytest.param(f"<m><x>{BEFORE}</x>{BEFORE}<note/></m>", {-1: {"before"}, 0: {"before"}}, id="one of two"),
    ],
)
def test_a_parser_tells_where_marks_stand(text: str, places: dict[int, set[str]]) -> None:
    assert places_of_marks(f"<part>{text}</part>".encode(), text.count("<note")) == places


@pytest.mark.parametrize("encoding", ["utf-8", "iso-8859-1", "euc-jp"])
def test_marks_are_found_in_every_encoding(encoding: str) -> None:
    name = "音" if encoding == "euc-jp" else "é"
    data = f'<?xml version="1.0" encoding="{encoding}"?>'.encode() + score(head=f"<credit>{name}</credit>")
    data = data.replace(name.encode(), name.encode(encoding))
    document = open_document(data)
    verify(document, insert(document.working, MARKS), MARKS)


def test_a_text_with_another_number_of_notes_than_was_read_never_leaves() -> None:
    document = open_document(score())
    marked = insert(document.working, MARKS)
    with pytest.raises(ScoreError, match="could not be written"):
        places_of_marks(marked, document.notes + 1)
