"""Converts ABC and Humdrum kern to MusicXML with music21, which is imported only when such a file comes.

music21's `converter.parse` takes a text for a path or an address if it looks like one. So the text goes straight to the
parser of its format, which has no way to a file.
"""

from __future__ import annotations

import re

from lxml import etree

from ..errors import ScoreError

ENDINGS = (".abc", ".krn")
_ABC = re.compile(rb"\A(?:%abc[^\n]*\n)?(?:%[^\n]*\n|\s)*X:\s*\d+\s*\n", re.IGNORECASE)
_KERN = re.compile(rb"(?m)^\*\*kern\b")
_RANDOM_ID = re.compile(rb"\b([PI])[0-9a-f]{30,32}\b")
_DATE = re.compile(rb"\s*<encoding-date>[^<]*</encoding-date>")
_FORMATS = {"abc": "ABC", "humdrum": "Humdrum kern"}


def other_format(data: bytes, name: str) -> str | None:
    """Return "abc" or "humdrum" if a file is in that format, by its ending and its beginning; else None."""
    start = data[:4096].lstrip(b"\xef\xbb\xbf")
    if start.lstrip()[:1] == b"<" or start[:2] == b"PK":
        return None
    if name.lower().endswith(".abc") or _ABC.match(start):
        return "abc"
    if name.lower().endswith(".krn") or _KERN.search(start):
        return "humdrum"
    return None


def to_musicxml(data: bytes, name: str) -> bytes:
    """Return a file as MusicXML: MusicXML as it is, ABC and Humdrum kern converted; of a collection, the first tune.

    Raises:
        ScoreError: `not-converted`, if the file is in one of these formats and cannot be read, or holds no music.
    """
    kind = other_format(data, name)
    if kind is None:
        return data
    text = _decoded(data)
    from music21 import stream
    from music21.converter.subConverters import ConverterABC, ConverterHumdrum
    from music21.musicxml.m21ToXml import GeneralObjectExporter

    try:
        parser = ConverterABC() if kind == "abc" else ConverterHumdrum()
        parser.parseData(text)
        score = parser.stream
        if isinstance(score, stream.Opus):
            score = score.scores[0]
        if not score.recurse().notes:
            raise _not_converted(kind, "there are no notes in it")
        return _settled(_without_fillers(bytes(GeneralObjectExporter(score).parse())))
    except ScoreError:
        raise
    except Exception:  # music21 raises exceptions of many kinds
        raise _not_converted(kind, "it does not follow the rules of the format") from None


def _without_fillers(score: bytes) -> bytes:
    """Remove the hidden rests with which music21 fills short bars."""
    root = etree.fromstring(score)
    for measure in root.iter("measure"):
        hidden = [n for n in measure.findall("note") if n.get("print-object") == "no" and n.find("rest") is not None]
        if hidden and measure.find("backup") is None:
            measure.set("implicit", "yes")
            for note in hidden:
                measure.remove(note)
    return bytes(etree.tostring(root.getroottree(), encoding="UTF-8", xml_declaration=True))


def _settled(score: bytes) -> bytes:
    """Name parts and instruments in order and leave out the date: the same file gives the same score, byte for byte."""
    names: dict[bytes, bytes] = {}
    for found in _RANDOM_ID.finditer(score):
        kind = found[1]
        names.setdefault(found[0], kind + str(sum(name[:1] == kind for name in names.values()) + 1).encode())
    return _DATE.sub(b"", _RANDOM_ID.sub(lambda found: names[found[0]], score))


def _decoded(data: bytes) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def _not_converted(kind: str, reason: str) -> ScoreError:
    return ScoreError(
        "not-converted",
        f"This {_FORMATS[kind]} file could not be turned into MusicXML: {reason}.",
        "Export it as MusicXML (.musicxml) from the program it comes from.",
        None,
        422,
    )
