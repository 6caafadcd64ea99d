"""Where marks go in the text of a note, what a diff shows of them, and what `clean` cuts and keeps."""

from __future__ import annotations

import difflib

import pytest
from lxml import etree

from service.errors import ScoreError
from service.musicxml.file.elements import Mark, NoteMark, Removal, WordsMark
from service.musicxml.file.scan import find_notes, inside_of_note, texts_of_notes
from service.musicxml.write.cleaning import BEGIN, END, clean, guard
from service.musicxml.write.splice import insert

B, E = BEGIN.decode(), END.decode()
FINGER = NoteMark(0, finger=3)
ALL = frozenset({"fingering", "string", "open-string"})


def marked(text: str, *marks: Mark) -> str:
    """The text with marks; on the way, it must come back from `clean` as it was."""
    written = insert(text.encode(), marks)
    assert clean(written) == text.encode()
    guard(text.encode(), written)
    return written.decode()


@pytest.mark.parametrize(
    ("before", "after"),
    [
        pytest.param(
            "<m><note><pitch/></note></m>",
            f"<m><note><pitch/>{B}<notations><technical><fingering>3</fingering></technical></notations>{E}</note></m>",
            id="nothing there",
        ),
        pytest.param(
            "<m><note><pitch/><lyric/><play/></note></m>",
            f"<m><note><pitch/>{B}<notations><technical><fingering>3</fingering></technical></notations>{E}"
            "<lyric/><play/></note></m>",
            id="before the lyric",
        ),
        pytest.param(
            "<m><note><play/></note></m>",
            f"<m><note>{B}<notations><technical><fingering>3</fingering></technical></notations>{E}<play/></note></m>",
            id="before play",
        ),
        pytest.param(
            "<m><note><notations><slur/></notations></note></m>",
            f"<m><note><notations><slur/>{B}<technical><fingering>3</fingering></technical>{E}</notations></note></m>",
            id="no technical",
        ),
        pytest.param(
            "<m><note><notations a='/>'><technical ><up-bow/></technical ></notations\n></note ></m>",
            f"<m><note><notations a='/>'><technical ><up-bow/>{B}<fingering>3</fingering>{E}</technical >"
            "</notations\n></note ></m>",
            id="technical there",
        ),
        pytest.param(
            "<m><note><notations><technical/><technical><x/></technical></notations><notations/></note></m>",
            "<m><note><notations><?handframe was PHRlY2huaWNhbC8+?>"
            f"{B}<technical><fingering>3</fingering></technical>{E}<technical><x/></technical></notations>"
            "<notations/></note></m>",
            id="empty technical, the first of two",
        ),
        pytest.param(
            "<m><note><notations /></note></m>",
            "<m><note><?handframe was PG5vdGF0aW9ucyAvPg==?>"
            f"{B}<notations><technical><fingering>3</fingering></technical></notations>{E}</note></m>",
            id="empty notations",
        ),
        pytest.param(
            "<m><note><!-- <notations><technical> --><pitch/><?p <lyric> ?></note></m>",
            "<m><note><!-- <notations><technical> --><pitch/><?p <lyric> ?>"
            f"{B}<notations><technical><fingering>3</fingering></technical></notations>{E}</note></m>",
            id="look-alikes in comments and instructions",
        ),
        pytest.param(
            "<m><note><notehead/><footnote><![CDATA[</note><lyric>]]></footnote></note></m>",
            "<m><note><notehead/><footnote><![CDATA[</note><lyric>]]></footnote>"
            f"{B}<notations><technical><fingering>3</fingering></technical></notations>{E}</note></m>",
            id="look-alikes in CDATA",
        ),
    ],
)
def test_where_a_fingering_goes(before: str, after: str) -> None:
    assert marked(before, FINGER) == after


def test_everything_a_note_can_carry() -> None:
    mark = NoteMark(0, 0, 4, True, "below", (("stop", 1), ("start", 2)), True)
    assert marked("<m><note></note></m>", mark) == (
        f'<m><note>{B}<notations><technical><fingering placement="below">0</fingering>'
        '<string placement="below">4</string>'
        '<open-string placement="below"/><harmonic placement="below"><natural/></harmonic></technical>'
        '<slide type="stop" number="1" line-type="solid"/><slide type="start" number="2" line-type="solid"/>'
        f"</notations>{E}</note></m>"
    )


def test_slides_stand_beside_an_existing_technical() -> None:
    text = "<m><note><notations><technical><up-bow/></technical></notations></note></m>"
    assert marked(text, NoteMark(0, 1, slides=(("start", 1),))) == (
        f"<m><note><notations><technical><up-bow/>{B}<fingering>1</fingering>{E}</technical>"
        f'{B}<slide type="start" number="1" line-type="solid"/>{E}</notations></note></m>'
    )


def test_nothing_to_write_changes_nothing() -> None:
    assert marked("<m><note/></m>") == "<m><note/></m>"
    assert marked("<m><note></note></m>", NoteMark(0), Removal(0, ALL)) == "<m><note></note></m>"


PRETTY = """<m>
  <attributes/>

  <!-- here -->
  <note>
    <pitch/>
    <lyric/>
  </note>
  <note>
    <pitch/>
    <notations>
      <slur/>
    </notations>
  </note>
  <note>
    <notations>
\t<technical>
\t  <up-bow/>
\t</technical>
    </notations>
    <lyric/>
  </note>
</m>"""


@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
def test_a_diff_shows_added_lines_only(newline: str) -> None:
    before = PRETTY.replace("\n", newline)
    marks: list[Mark] = [NoteMark(n, 1, slides=(("start", 1),)) for n in range(3)]
    marks += [WordsMark(n, "3rd pos.") for n in range(3)]
    after = marked(before, *marks)
    assert after.replace(newline, "").count("\n") == 0
    lines = list(difflib.ndiff(before.split(newline), after.split(newline)))
    assert not [line for line in lines if line.startswith(("- ", "? "))]
    assert [line[2:].split("<?")[0] for line in lines if line.startswith("+ ")] == [
        *("  ", "    ", "  ", "      ", "  ", "\t  ", "\t"),
    ]


def test_words_keep_their_order_and_follow_what_is_there() -> None:
    text = "<m><direction/> <note></note></m>"
    marks = [WordsMark(0, bracket="stop"), WordsMark(0, "5th pos."), WordsMark(0, "sul A", staff=2, voice="1&2")]
    assert marked(text, *marks, FINGER) == (
        f'<m><direction/>{B}<direction placement="above"><direction-type>'
        '<bracket type="stop" number="1" line-end="down" line-type="dashed"/></direction-type></direction>'
        f'{E}{B}<direction placement="above"><direction-type><words>5th pos.</words></direction-type></direction>'
        f'{E}{B}<direction placement="above"><direction-type><words>sul A</words></direction-type>'
        f"<voice>1&amp;2</voice><staff>2</staff></direction>{E}"
        f" <note>{B}<notations><technical><fingering>3</fingering></technical></notations>{E}</note></m>"
    )


def test_letters_beyond_ascii_fit_every_encoding() -> None:
    written = insert(b"<m><note></note></m>", [WordsMark(0, "3ème pos., 3-я".replace("-", ""))])
    assert b"<words>3&#232;me pos., 3&#1103;</words>" in written
    assert written.isascii()


@pytest.mark.parametrize(
    ("mark", "reason"),
    [
        (WordsMark(0, "a<b"), "letters"),
        (WordsMark(0, 'sul "G"'), "letters"),
        (WordsMark(0, "a\\b"), "letters"),
        (WordsMark(0, "a\nb"), "letters"),
        (WordsMark(0), "exactly one"),
        (WordsMark(0, " "), "exactly one"),
        (WordsMark(0, "III", bracket="start"), "exactly one"),
        (NoteMark(0, finger=10), "one digit"),
        (NoteMark(0, finger=-1), "one digit"),
        (NoteMark(0, string=0), "count from 1"),
        (NoteMark(1, finger=1), "no content"),
        (NoteMark(2, finger=1), "no note 2"),
        (NoteMark(-1, finger=1), "no note -1"),
    ],
)
def test_marks_that_cannot_be_written(mark: Mark, reason: str) -> None:
    with pytest.raises(ValueError, match=reason):
        insert(b"<m><note></note><note/></m>", [mark])


def test_two_marks_on_one_note_are_a_mistake() -> None:
    with pytest.raises(ValueError, match="two marks on note 0"):
        insert(b"<m><note></note></m>", [FINGER, FINGER])


def test_what_a_human_wrote_is_put_aside_and_comes_back() -> None:
    text = (
        "<m><note><notations><technical>\n <fingering a='>'><!-- two -->2</fingering>\n <string>1</string>"
        "<open-string/><up-bow/></technical><technical><fingering\n>4</fingering ></technical></notations></note></m>"
    )
    after = marked(text, Removal(0, ALL), FINGER)
    assert after.count("<fingering") == 1
    assert after.count("<?handframe was ") == 4
    assert "<string" not in after
    assert "<up-bow/>" in after
    partly = marked(text, Removal(0, frozenset({"string"})))
    assert partly.count("<fingering") == 2
    assert "<string>" not in partly


OURS = f"{B}<fingering>3</fingering>{E}"


@pytest.mark.parametrize(
    "text",
    [
        pytest.param(f"<a><!-- {OURS} --></a>", id="in a comment"),
        pytest.param(f"<a><![CDATA[{OURS}]]></a>", id="in CDATA"),
        pytest.param(f"<!DOCTYPE a [<!-- {OURS} -->]><a/>", id="in the document type"),
        pytest.param(f"<?other {OURS}", id="in another instruction"),
        pytest.param(f"<?handframe note {OURS}", id="in an instruction like ours"),
        pytest.param(f"<a>{B}<fingering>3</fingering></a>", id="begun only"),
        pytest.param(f"<a><fingering>3</fingering>{E}</a>", id="ended only"),
        pytest.param(f"<a>{E}<fingering>3</fingering>{B}</a>", id="the wrong way round"),
        pytest.param(f"<a>{B}<fingering>3</fingering><mine/>{E}</a>", id="a foreign element within"),
        pytest.param(f"<a>{B}<fingering>my own</fingering>{E}</a>", id="changed by hand"),
        pytest.param(f"<a>{B}<direction><direction-type/></direction>{E}</a>", id="a direction not like ours"),
        pytest.param("<a><?handframe was !?></a>", id="nothing coded"),
        pytest.param("<a><?handframe was AAAA?></a>", id="something else coded"),
        pytest.param("<a><?handframe was PHRlY2huaWNhbC8+=?></a>", id="badly coded"),
        pytest.param(f"<a>{B}", id="broken text"),
        pytest.param("<!-- " + OURS, id="a comment that never ends"),
    ],
)
def test_what_is_not_ours_stays(text: str) -> None:
    assert clean(text.encode()) == text.encode()


def test_marks_within_and_beside_foreign_instructions_come_out() -> None:
    lone = f"<m>{E}<note>{B}<notations><technical>{B}<up-bow/>{E}</technical></notations></note>{B}</m>"
    marked(lone, FINGER, WordsMark(0, "III"))


def test_marks_within_marks_come_out_in_one_go() -> None:
    assert clean(f"<a>{B}{B}{OURS}{E}\n {OURS}{E}</a>".encode()) == b"<a></a>"


def test_an_untouched_text_is_not_even_copied() -> None:
    text = PRETTY.encode()
    assert clean(text) is text


def test_the_guard_refuses_what_could_not_be_undone() -> None:
    with pytest.raises(ScoreError, match="without a trace") as caught:
        guard(b"<a/>", b"<a />")
    assert (caught.value.code, caught.value.status) == ("marks-not-removable", 500)


@pytest.mark.parametrize(
    "text",
    [
        "<m><note/><note /><note a='b'>\n</note\t><notehead/><x>&lt;note></x><note\n></note></m>",
        "<!DOCTYPE m [<!ELEMENT note ANY> <!-- '<note> ]> --> <?p <note> ]>?> <!NOTATION n SYSTEM ']><note>'>]>"
        "<m><note/><!-- <note> ? ! --><![CDATA[<note>]] >]]><?p <!-- <note>?><note b='a>b'/></m>",
        "<m>!<?p?>?<!---->!?<note/>?!</m>",
        "<m><note><note></note></note></m>",
    ],
)
def test_notes_are_found_where_lxml_finds_them(text: str) -> None:
    root = etree.fromstring(text)
    found = find_notes(text.encode())
    assert len(found) == len(list(root.iter("note")))
    assert all(text[offset:].startswith("<note") for offset in found)


def test_texts_of_notes_tell_apart_what_lxml_tells_apart() -> None:
    same = [
        b"<note><x/></note>",
        b"<note default-x='7'><x/></note>",
    ]
    others = [
        b"<note print-object='no'><x/></note>",
        b"<note title='>' print-object='no'><x/></note>",
        b"<note><!-- </note> --><y/></note>",
        b"<note><!-- </note> --><z/></note>",
        b"<note><x/></note >",
        b"<note/>",
    ]
    text = b"<m>" + b"".join(same + others) + b"</m>"
    text_of = texts_of_notes(text, find_notes(text))
    texts = [text_of(index) for index in range(2 + len(others))]
    assert texts[0] == texts[1], "where a note stands on the page makes no other note of it"
    assert len(set(texts[1:])) == len(texts) - 1, "all others differ"


def test_a_note_around_another_is_not_marked() -> None:
    text = b"<m><note><note><x/></note></note></m>"
    assert inside_of_note(text, find_notes(text), 1) == b"<note><x/>"
    with pytest.raises(ValueError, match="no content of its own"):
        inside_of_note(text, find_notes(text), 0)
