"""The formats that are read, in one table: how each is told, and what it cannot tell us.

Every command and every address takes all of them. A file is told by its content, and where that is not enough by the
ending of its name.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import PurePath

from ...errors import said

_ABC = re.compile(rb"\A(?:%abc[^\n]*\n)?(?:%[^\n]*\n|\s)*X:\s*\d+\s*(?:\n|\r)", re.IGNORECASE)
_KERN = re.compile(rb"(?m)^\*\*kern\b")
_MEI = re.compile(rb"<(?:[A-Za-z]+:)?mei[\s>]")
_LOOKED_AT = 4096
_WIDE = {b"\xff\xfe": "utf-16-le", b"\xfe\xff": "utf-16-be"}


@dataclass(frozen=True, slots=True)
class Format:
    """One format.

    Attributes:
        name: a short name.
        endings: of file names, with their full stops.
        remark: what to know of a score that came so, said once with the answer; empty for MusicXML.
        begins: whether a file that begins so is in this format.
    """

    name: str
    endings: tuple[str, ...]
    remark: str
    begins: Callable[[bytes], bool]


MUSICXML = Format("musicxml", (".musicxml", ".mxl", ".xml"), "", lambda begin: False)
TIMEWISE = Format(
    "timewise",
    (),
    said("The score came as timewise MusicXML; it is partwise from here on."),
    lambda begin: False,  # the parser tells
)
ABC = Format(
    "abc",
    (".abc",),
    said("The score came as ABC and is MusicXML from here on; lyrics and chord symbols are left out."),
    lambda begin: bool(_ABC.match(begin)),
)
HUMDRUM = Format(
    "humdrum",
    (".krn", ".kern"),
    said("The score came as Humdrum kern and is MusicXML from here on; fingerings in it are left out."),
    lambda begin: b"**kern" in begin and bool(_KERN.search(begin)),
)
MEI = Format(
    "mei",
    (".mei",),
    said("The score came as MEI and is MusicXML from here on."),
    lambda begin: begin.startswith(b"<") and b"mei" in begin and bool(_MEI.search(begin)),
)
MIDI = Format(
    "midi",
    (".mid", ".midi"),
    said(
        "The score came as MIDI, which does not tell how notes are spelled, nor slurs, bowings and fingerings. Its "
        "rhythm was rounded to sixteenths and triplets: compare the notes with your part before you play from the "
        "marks."
    ),
    lambda begin: begin.startswith(b"MThd"),
)
FORMATS = (MUSICXML, TIMEWISE, ABC, HUMDRUM, MEI, MIDI)
ENDINGS = tuple(ending for format in FORMATS for ending in format.endings)
"""Endings of the names of files that are taken for scores."""


def format_of(data: bytes, name: str = "") -> Format:
    """Return the format of a file; MusicXML if it is none of the others."""
    begin = data[:_LOOKED_AT]
    if begin[:2] in _WIDE:
        begin = begin[2:].decode(_WIDE[begin[:2]], "replace").encode("ascii", "replace")
    begin = begin.removeprefix(b"\xef\xbb\xbf")
    for format in FORMATS:
        if format.begins(begin):
            return format
    if begin.lstrip()[:1] == b"<" or begin[:2] == b"PK":
        return MUSICXML
    ending = PurePath(name).suffix.lower()
    return next((format for format in (ABC, HUMDRUM) if ending in format.endings), MUSICXML)


def musicxml_name(name: str) -> str:
    """Return the name of a file as MusicXML: other formats get the ending of MusicXML, MusicXML keeps its own."""
    path = PurePath(name)
    ending = path.suffix.lower()
    return str(path.with_suffix(".musicxml")) if ending in ENDINGS and ending not in MUSICXML.endings else name
