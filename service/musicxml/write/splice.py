"""Inserts marks into the original bytes, in a form that `cleaning` removes without a trace.

Nothing is ever re-serialised: an edit inserts bytes at an offset, and everything else stays as the publisher wrote it.
What we write is recognised again by processing instructions, which are legal everywhere in every version of MusicXML:

    <?handframe begin?>…<?handframe end?>    an insertion; `clean` cuts it together with the one line break and
                                             indentation right before it, if there is one
    <?handframe was …?>                      stands where something was taken out; holds its bytes in base64,
                                             and `clean` puts them back
    <?handframe copy …?>                     a seal at the end, see `seal`; `clean` takes it off

An insertion always begins right behind a character that is not blank, so the line break before it is its own, and a
diff shows an added line. `clean` cuts an insertion only if it holds nothing but what `insert` can write: foreign
elements put between our instructions, unpaired instructions and look-alikes in comments stay as they are.
"""

from __future__ import annotations

import base64
import re
from collections.abc import Iterable, Sequence
from operator import itemgetter

from ..file.elements import (
    ElementRemoval,
    Mark,
    NoteMark,
    Removal,
    WordsMark,
    direction,
    slides,
    technical_children,
)
from ..file.scan import (
    BLANKS,
    end_of_element,
    end_of_tag,
    find_elements,
    find_notes,
    inside_of_note,
)
from .cleaning import BEGIN, END, WAS

_TAG_END = rb"(?=[ \t\r\n/>])"
_NOTATIONS_START = re.compile(rb"<notations" + _TAG_END)
_NOTATIONS_END = re.compile(rb"</notations[ \t\r\n]*+>")
_TECHNICAL_START = re.compile(rb"<technical" + _TAG_END)
_TECHNICAL_END = re.compile(rb"</technical[ \t\r\n]*+>")
_AFTER_NOTATIONS = re.compile(rb"<(?:lyric|play|listen)" + _TAG_END)
_ATTRIBUTES = rb"(?:[ \t\r\n](?:[^>\"'/]|\"[^\"]*+\"|'[^']*+'|/(?!>))*+)?+"
_PRINTED = re.compile(
    rb"<(?P<tag>fingering|string|open-string)" + _ATTRIBUTES + rb"(?:/>|>[^<]*+</(?P=tag)[ \t\r\n]*+>)"
)
_NOTATIONS = b"<notations>%b</notations>"
_TECHNICAL = b"<technical>%b</technical>"
_BLANK = re.compile(rb"[ \t\r\n]++")
_LINE_BREAK = re.compile(rb"(?:\r\n|\n|\r)[ \t]*+")

_Edit = tuple[int, int, bytes]  # from, to, what stands there instead


def insert(text: bytes, marks: Iterable[Mark], notes: Sequence[int] | None = None) -> bytes:
    """The text with the marks written in; `text` must hold none of ours (see `clean`).

    `notes` are the offsets of its notes, if they are known already.

    Marks on one place are written in the order given. Words go right before their note; fingering, string and the like
    into the first `<technical>` of the note's first `<notations>`, slides into the latter; what is missing is created
    where the schema wants it.

    Raises:
        ValueError: a mark that cannot be written: no such note, two marks on one note, text with other signs.
    """
    edits = sorted(
        _edits(text, marks, find_notes(text) if notes is None else notes), key=itemgetter(0)
    )  # stable: the order given holds within one place
    pieces: list[bytes] = []
    here = 0
    for start, stop, written in edits:
        if start < here:
            raise ValueError(f"two changes overlap at byte {start}")
        pieces.append(text[here:start])
        pieces.append(written)
        here = stop
    pieces.append(text[here:])
    return b"".join(pieces)


def _edits(text: bytes, marks: Iterable[Mark], notes: Sequence[int]) -> list[_Edit]:
    edits: list[_Edit] = []
    marked: set[int] = set()
    outdated: list[ElementRemoval] = []
    for mark in marks:
        if isinstance(mark, ElementRemoval):
            outdated.append(mark)
            continue
        if not 0 <= mark.note < len(notes):
            raise ValueError(f"there is no note {mark.note}; the document has {len(notes)}")
        if isinstance(mark, WordsMark):
            edits.append(_insertion(text, notes[mark.note], direction(mark)))
        elif isinstance(mark, Removal):
            edits += _removals(text, notes, mark)
        else:
            if mark.note in marked:
                raise ValueError(f"two marks on note {mark.note}")
            marked.add(mark.note)
            edits += _note_edits(text, notes, mark)
    return edits + _element_removals(text, outdated)


def _insertion(text: bytes, before: int, content: bytes, like: bytes = b"") -> _Edit:
    """Puts content before the tag at an offset, on a line of its own if that tag begins one.

    `like` is blank text whose indentation to copy; without it, that of the tag itself.
    """
    place = before
    while text[place - 1] in BLANKS:
        place -= 1
    line = b""
    if breaks := _LINE_BREAK.findall(text, place, before):
        line = (_LINE_BREAK.findall(like) or breaks)[-1]
    return place, place, b"%b%b%b%b" % (line, BEGIN, content, END)


def _note_edits(text: bytes, notes: Sequence[int], mark: NoteMark) -> list[_Edit]:
    start = notes[mark.note]
    note = inside_of_note(text, notes, mark.note)
    technical, slanted = technical_children(mark), slides(mark)
    if not technical and not slanted:
        return []
    whole = (_TECHNICAL % technical if technical else b"") + slanted
    opening = _NOTATIONS_START.search(note)
    if opening is None:
        later = _AFTER_NOTATIONS.search(note)
        before = start + (later.start() if later else len(note))
        return [_insertion(text, before, _NOTATIONS % whole, _blank_after(note, end_of_tag(note, 0)))]
    inner = end_of_tag(note, opening.start())
    if note.startswith(b"/", inner - 2):
        return [_replacement(text, start + opening.start(), start + inner, _NOTATIONS % whole)]
    ending = _end_tag(_NOTATIONS_END, note, inner, mark)
    first = _TECHNICAL_START.search(note, inner, ending) if technical else None
    edits: list[_Edit] = []
    if first is not None:
        edits.append(_into_technical(text, note, start, first.start(), mark))
        whole = slanted
    if whole:
        edits.append(_insertion(text, start + ending, whole, _blank_after(note, inner)))
    return edits


def _into_technical(text: bytes, note: bytes, start: int, offset: int, mark: NoteMark) -> _Edit:
    """The mark at the end of the `<technical>` that begins at an offset of its note, which begins at `start`."""
    inside = end_of_tag(note, offset)
    if note.startswith(b"/", inside - 2):
        return _replacement(text, start + offset, start + inside, _TECHNICAL % technical_children(mark))
    before = start + _end_tag(_TECHNICAL_END, note, inside, mark)
    return _insertion(text, before, technical_children(mark), _blank_after(note, inside))


def _end_tag(pattern: re.Pattern[bytes], note: bytes, offset: int, mark: NoteMark) -> int:
    found = pattern.search(note, offset)
    if found is None:
        raise ValueError(f"an element of note {mark.note} of the document does not end within it")
    return found.start()


def _replacement(text: bytes, start: int, stop: int, content: bytes) -> _Edit:
    return start, stop, _was(text[start:stop]) + BEGIN + content + END


def _was(removed: bytes) -> bytes:
    return WAS + base64.b64encode(removed) + b"?>"


def _blank_after(note: bytes, offset: int) -> bytes:
    """The blanks between the end of a tag and what follows: they carry the indentation of its children."""
    found = _BLANK.match(note, offset)
    return found[0] if found else b""


def _removals(text: bytes, notes: Sequence[int], mark: Removal) -> list[_Edit]:
    start = notes[mark.note]
    note = inside_of_note(text, notes, mark.note)
    edits: list[_Edit] = []
    for found in _PRINTED.finditer(note):
        if found["tag"].decode() in mark.kinds:
            where = start + found.start(), start + found.end()
            edits.append((*where, _was(text[where[0] : where[1]])))
    return edits


def _element_removals(text: bytes, marks: Sequence[ElementRemoval]) -> list[_Edit]:
    edits: list[_Edit] = []
    for name in {mark.name for mark in marks}:
        offsets = find_elements(text, name)
        for mark in marks:
            if mark.name != name:
                continue
            if not 0 <= mark.ordinal < len(offsets):
                raise ValueError(f"there is no {name} {mark.ordinal}; the document has {len(offsets)}")
            start, stop = offsets[mark.ordinal], end_of_element(text, offsets, mark.ordinal, name)
            edits.append((start, stop, _was(text[start:stop])))
    return edits
