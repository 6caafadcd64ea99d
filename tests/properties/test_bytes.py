"""Laws of the byte layer on invented texts: odd layout, look-alikes and left-over instructions included."""

from __future__ import annotations

import io
import zipfile

from hypothesis import given
from hypothesis import strategies as st
from lxml import etree

from service.musicxml.file.container import open_document
from service.musicxml.file.elements import ElementRemoval, Mark, NoteMark, Removable, Removal, WordsMark
from service.musicxml.file.scan import end_of_element, find_elements, find_notes
from service.musicxml.write.cleaning import BEGIN, END, clean, guard
from service.musicxml.write.splice import insert
from tests.soak.laws import held

OURS = [
    BEGIN.decode(),
    END.decode(),
    f"{BEGIN.decode()}<fingering>1</fingering>{END.decode()}",
    f"{BEGIN.decode()}<technical><string>1</string></technical>{END.decode()}",
    "<?handframe was PHRlY2huaWNhbC8+?>",
    "<?handframe was AAAA?>",
    f"<?handframe copy {'0' * 64}?>",
]
BLANK = st.sampled_from(["", "", " ", "\n", "\n  ", "\r\n\t", "\r", "\n\n "])
ODDITIES = [
    "<!-- <note> </note> -->",
    "<!---->",
    "<?p <note> <!-- ?>",
    "<!-- ? <? " + OURS[2] + " -->",
    "<?other " + BEGIN.decode(),
    f"<?other <?handframe copy {'0' * 64}?>",
]
BETWEEN = st.lists(st.sampled_from([*ODDITIES, *OURS]), max_size=2).map("".join)


def sequence(*parts: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    """The parts one after another, with blanks and oddities in between."""
    return st.tuples(*[piece for part in parts for piece in (part, BLANK, BETWEEN, BLANK)]).map("".join)


def element(name: str, content: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    tag = st.sampled_from([name, f"{name} a='>'", f'{name}\n b="/>" '])
    full = st.tuples(tag, BLANK, content, st.sampled_from(["", " "])).map(
        lambda t: f"<{t[0]}>{t[1]}{t[2]}</{name}{t[3]}>"
    )
    return full | tag.map(lambda text: f"<{text}/>")


def several(*choices: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    return st.lists(sequence(st.one_of(*choices)), max_size=3).map("".join)


TECHNICAL = element(
    "technical",
    several(
        st.sampled_from(["<up-bow/>", "<fingering>2</fingering>", "<string a='/'>1</string >", "<open-string />"]),
        st.just("<fingering><!-- x -->1</fingering>"),
    ),
)
SLIDE = st.sampled_from(["<slide/>", "<slide a='>'></slide >", "<slide ><!-- </slide> --></slide>"])
NOTATIONS = element("notations", several(st.just("<slur/>"), SLIDE, TECHNICAL))
NOTE = st.tuples(
    st.sampled_from(["<note>", "<note c='>'>", "<note\n>"]),
    sequence(st.just("<pitch/>"), several(NOTATIONS), several(st.sampled_from(["<lyric/>", "<play></play>"]))),
    st.sampled_from(["</note>", "</note >"]),
).map("".join)
DIRECTION = element("direction", several(st.sampled_from(["<rehearsal>III</rehearsal>", "<![CDATA[</direction>]]>"])))
REMOVABLE: tuple[Removable, ...] = ("direction", "slide")
SCORE = several(
    NOTE, NOTE, DIRECTION, st.sampled_from(["<notehead/>", "<x><![CDATA[<note>]]></x>", "<directions/>", "a &amp; b"])
).map(lambda inner: f"<score-partwise><part><measure>{inner}</measure></part></score-partwise>")
KINDS = st.frozensets(st.sampled_from(["fingering", "string", "open-string"]))


@st.composite
def marks_for(draw: st.DrawFn, count: int) -> list[Mark]:
    marks: list[Mark] = []
    for note in range(count):
        if draw(st.booleans()):
            marks.append(Removal(note, draw(KINDS)))
        if draw(st.booleans()):
            words = draw(st.sampled_from(["III", "3rd pos.", "3ème pos., sul A"]))
            marks.append(WordsMark(note, words, staff=draw(st.none() | st.just(2))))
        marks.append(
            NoteMark(
                note,
                finger=draw(st.none() | st.integers(0, 4)),
                string=draw(st.none() | st.integers(1, 4)),
                slides=draw(st.sampled_from([(), (("start", 1),)])),
            )
        )
    return marks


@given(SCORE)
def test_notes_stand_where_the_parser_finds_them(score: str) -> None:
    text = score.encode()
    notes = [note for note in etree.fromstring(text).iter("note")]
    found = find_notes(text)
    assert len(found) == len(notes)
    assert all(text.startswith(b"<note", offset) for offset in found)


@given(SCORE, st.sampled_from(REMOVABLE))
def test_other_elements_begin_and_end_where_the_parser_finds_them(score: str, name: str) -> None:
    text = score.encode()
    starts = find_elements(text, name)
    elements = list(etree.fromstring(text).iter(name))
    assert len(starts) == len(elements)
    for index, parsed in enumerate(elements):
        alone = etree.fromstring(text[starts[index] : end_of_element(text, starts, index, name)])
        parsed.tail = None
        assert etree.tostring(alone) == etree.tostring(parsed)


@given(SCORE, st.data())
def test_marks_come_out_without_a_trace(score: str, data: st.DataObject) -> None:
    text = clean(score.encode())
    assert clean(text) == text
    marks = data.draw(marks_for(len(find_notes(text))))
    for name in REMOVABLE:
        ordinals = range(len(find_elements(text, name)))
        marks += [ElementRemoval(name, ordinal) for ordinal in ordinals if data.draw(st.booleans())]
    marked = insert(text, marks)
    guard(text, marked)
    assert clean(marked) == text
    assert insert(clean(marked), marks) == marked


@given(SCORE, st.data())
def test_each_note_gets_its_marks_and_everything_else_stays(score: str, data: st.DataObject) -> None:
    text = clean(score.encode())
    count = len(find_notes(text))
    marks = data.draw(marks_for(count))
    before, after = (etree.fromstring(each) for each in (text, insert(text, marks)))
    for old, new in zip(before.iter("note"), after.iter("note"), strict=True):
        assert [child.tag for child in old.iter("pitch", "slur", "lyric", "play", "up-bow")] == [
            child.tag for child in new.iter("pitch", "slur", "lyric", "play", "up-bow")
        ]
    fingers = {mark.note: mark.finger for mark in marks if isinstance(mark, NoteMark) and mark.finger is not None}
    kinds = {mark.note: mark.kinds for mark in marks if isinstance(mark, Removal)}
    for index, (old, new) in enumerate(zip(before.iter("note"), after.iter("note"), strict=True)):
        kept = 0 if "fingering" in kinds.get(index, ()) else len(old.findall(".//fingering"))
        assert len(new.findall(".//fingering")) == kept + (index in fingers)
        if index in fingers:
            first = new.find("notations").find("technical")
            assert first.findall("fingering")[-1].text == str(fingers[index])
    words = [mark for mark in marks if isinstance(mark, WordsMark)]
    assert len(after.findall(".//words")) == len(words)


@given(SCORE, st.data(), st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "mxl"]))
def test_the_file_comes_back(score: str, data: st.DataObject, wrapping: str) -> None:
    file = score.encode("utf-8" if wrapping == "mxl" else wrapping)
    if wrapping == "mxl":
        buffer = io.BytesIO()
        with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as made:
            made.writestr("META-INF/container.xml", "<container><rootfile full-path='s.xml'/></container>")
            made.writestr("s.xml", file)
            made.writestr("more.txt", b"PK\5\6 PK\1\2")
        file = buffer.getvalue()
    document = open_document(file, prepare=clean)
    answer = document.rebuild(insert(document.working, data.draw(marks_for(len(find_notes(document.working))))))
    again = open_document(answer, prepare=clean)
    assert again.working == document.working
    assert held(again.rebuild(again.working)) == held(document.rebuild(document.working))


@given(st.lists(st.sampled_from([*OURS, *ODDITIES, "<note>", "</note>", "<!", "<?", "?>", "]>", "'", "\n ", "<a/>"])))
def test_any_text_at_all_can_be_cleaned_and_cleaned_again(pieces: list[str]) -> None:
    text = "".join(pieces).encode()
    once = clean(text)
    assert clean(once) == once
    find_notes(text)
