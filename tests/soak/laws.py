"""What must hold for any bytes at all: a clean refusal, or an answer that can be undone without a trace."""

from __future__ import annotations

from lxml import etree

from service.config.file_limits import DEFAULT_LIMITS
from service.config.options import Options
from service.errors import ScoreError
from service.musicxml.file.archive import open_archive
from service.musicxml.file.container import open_document
from service.musicxml.file.elements import Mark, NoteMark, WordsMark
from service.musicxml.file.scan import find_notes
from service.musicxml.notation.part_list import list_parts
from service.musicxml.read.reader import read_part
from service.musicxml.write.cleaning import clean
from service.musicxml.write.splice import insert
from service.musicxml.write.verify import verify
from service.usecases.annotate import PartReview, annotate

OURS = 500
"""From this status on a fault is ours, not the sender's."""


def refusal(error: ScoreError) -> str:
    """The code of a refusal, which must blame the sender and say what to do.

    Raises:
        AssertionError: it does not.
    """
    assert 400 <= error.status < OURS, f"{error.code} blames ourselves: {error}"
    assert error.message
    assert error.advice
    return error.code


def held(data: bytes) -> tuple[bytes, bytes]:
    """The bytes of a score and of what surrounds it: an archive may be compressed in another way."""
    if data[:2] != b"PK":
        return data, b""
    archive = open_archive(data, DEFAULT_LIMITS)
    return archive.score, archive.surroundings


def check_bytes(data: bytes) -> str:
    """Open, read every part, mark every note, take the marks out again; returns the code of a refusal or "read"."""
    try:
        document = open_document(data, prepare=clean)
    except ScoreError as error:
        return refusal(error)
    for listing in list_parts(document.root):
        try:
            one_by_one = read_part(document.root, listing.id)
            alike = read_part(document.root, listing.id, text_of_note=document.text_of_note)
            assert one_by_one.passage.events == alike.passage.events, "notes that are written alike are read alike"
        except ScoreError as error:
            refusal(error)
    text = document.working
    marks: list[Mark] = []
    elements = list(document.root.iter("note"))
    assert len(find_notes(text)) == len(elements)
    for note, element in enumerate(elements):
        marks.append(WordsMark(note, "III"))
        if element.find("pitch") is not None:
            marks.append(NoteMark(note, finger=note % 5, string=1 + note % 4))
    marked = insert(text, marks)
    verify(document, marked, marks)
    assert clean(marked) == text
    answer = document.rebuild(marked)
    again = open_document(answer, prepare=clean)
    assert again.working == text
    assert held(again.rebuild(again.working)) == held(document.rebuild(text))
    return "read"


def check_annotate(data: bytes, options: Options) -> str:
    """Annotate; the answer must clean to the cleaned input, and annotating it again must change nothing."""
    try:
        answer = annotate(data, options)
    except ScoreError as error:
        return refusal(error)
    before = open_document(data, prepare=clean)
    again = open_document(answer.data, prepare=clean)
    assert again.working == before.working
    assert held(again.rebuild(again.working)) == held(before.rebuild(before.working))
    assert annotate(answer.data, options).data == answer.data
    if b"<?handframe" in before.working:
        return "annotated, with instructions of ours left over"
    marked = open_document(answer.data).root
    check_directions(marked)
    for part in answer.parts:
        check_fingers(part, marked)
    return "annotated"


def check_fingers(part: PartReview, root: etree._Element) -> None:
    """Every finger that we printed stands on a note of its pitch, and is the finger of the plan."""
    notes = list(root.iter("note"))
    transposed = root.find(".//transpose") is not None
    for row in part.review.plan.rows:
        note = notes[part.reading.places[row.note.id].note]
        written = "".join("".join(pitch.itertext()) for pitch in note.iterfind("pitch"))
        assert transposed or row.note.pitch.step in written
        ours = [pi.getnext() for pi in note.iter(etree.PI) if (pi.target, pi.text) == ("handframe", "begin")]
        for name, meant in (("fingering", "finger"), ("string", "string")):
            printed = [found.text for element in ours for found in element.iter(name)]
            assert printed in ([], [str(getattr(row.stop, meant, ""))])


def check_directions(root: etree._Element) -> None:
    """Every direction that we printed stands in a measure, and a note of that measure comes next."""
    for instruction in root.iter(etree.PI):
        if (instruction.target, instruction.text) != ("handframe", "begin"):
            continue
        if next(instruction.iterancestors("note"), None) is not None:
            continue
        following = (node for node in instruction.itersiblings() if node.tag == "note" or node.tag == "measure")
        assert next(following).tag == "note"
        assert next(instruction.iterancestors()).tag == "measure"
