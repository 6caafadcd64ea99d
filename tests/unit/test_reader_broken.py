"""Whatever is done to a document, it is read or refused with a `ScoreError`; nothing else ever comes out."""

from __future__ import annotations

from contextlib import suppress

from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from service.errors import ScoreError
from service.musicxml.notation.part_list import choose_parts, list_parts
from service.musicxml.read.reader import read_part
from tests.small_scores import attributes, back, grace, notations, note, root_of, technical, words

TEXTS = st.sampled_from(
    ["", "x", "-1", "0", "1e400", "nan", "9" * 11, "½", "3/2", "２", "²", "IV", "sul G", "3rd pos."]
)
TAGS = st.sampled_from(["note", "grace", "chord", "backup", "tie", "cue", "duration", "measure", "words", "accord"])
CHANGE = st.tuples(st.sampled_from(["remove", "text", "double", "tag"]), st.integers(0, 999), TEXTS, TAGS)


def varied() -> etree._Element:
    """A document with something of everything."""
    slur, tie = notations('<slur type="start"/><tied type="start"/>'), '<tie type="start"/>'
    repeat = '<barline location="right"><ending number="1" type="stop"/><repeat direction="backward"/></barline>'
    open_string = "<tuning-step>A</tuning-step><tuning-octave>3</tuning-octave>"
    tuning = f"<scordatura><accord string='4'>{open_string}</accord></scordatura>"
    return root_of(
        attributes(2, "6/8", "<transpose><chromatic>2</chromatic></transpose>")
        + f"<direction><direction-type>{tuning}</direction-type></direction>"
        + words("Allegro", '<offset>1</offset><sound tempo="90"/>')
        + grace("D5")
        + note("E5", 2, slur)
        + note("G5", 2, technical("<fingering>1-2</fingering><string>1</string>"), chord=True)
        + note("A4", 2, tie)
        + back(4)
        + note("C5", 4, voice="2"),
        note("A4", 3) + repeat,
        note("B4", 3, technical("<harmonic><artificial/><touching-pitch/></harmonic>")),
    )


@settings(max_examples=300, deadline=None)
@given(st.lists(CHANGE, min_size=1, max_size=6))
def test_broken_document_is_read_or_refused(changes: list[tuple[str, int, str, str]]) -> None:
    root = varied()
    for kind, number, text, tag in changes:
        elements = [element for element in root.iter("*") if element.getparent() is not None]
        if not elements:
            break
        element = elements[number % len(elements)]
        parent = element.getparent()
        assert parent is not None
        if kind == "remove":
            parent.remove(element)
        elif kind == "double":
            parent.append(etree.fromstring(etree.tostring(element, with_tail=False)))
        elif kind == "text":
            element.text = text
        else:
            element.tag = tag
    with suppress(ScoreError):
        for listing in list_parts(root):
            read_part(root, listing.id)
    with suppress(ScoreError):
        choose_parts(root, "violin", ())
