"""Humdrum kern, MEI and MIDI as MusicXML, by music21, which is imported only when such a file comes.

music21's `converter.parse` takes a text for a path or an address if it looks like one. So content goes straight to the
reader of its format, which has no way to a file. What a small file could blow up is counted before, and the memory that
reading takes is bounded (`memory_limit.py`).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from lxml import etree

from ...config.file_limits import Limits
from ...errors import ScoreError, said
from ..file.container import read_tree, safe_parser
from .memory_limit import bounded_memory

_RANDOM_ID = re.compile(rb"\b([PI])[0-9a-f]{30,32}\b")
_DATE = re.compile(rb"\s*<encoding-date>[^<]*</encoding-date>")
_MEI = "{http://www.music-encoding.org/ns/mei}"
_KERN_NAMES = {"*Ivioln": "Violin", "*Iviola": "Viola", "*Icello": "Violoncello", "*Icbass": "Double bass"}
_LONGEST = 20_000
"""Quarter notes in a file: some five hours of music."""


def humdrum_to_musicxml(data: bytes, limits: Limits) -> bytes:
    """Return a file in Humdrum kern as MusicXML.

    Raises:
        ScoreError: `not-converted`.
    """
    text = _decoded(data)

    def read() -> Any:
        from music21.converter.subConverters import ConverterHumdrum

        parser = ConverterHumdrum()
        parser.parseData(text)
        return _with_kern_names(parser.stream, text)

    return _converted("Humdrum kern", read, limits)


def mei_to_musicxml(data: bytes, limits: Limits) -> bytes:
    """Return a file in MEI as MusicXML.

    Raises:
        ScoreError: `not-converted`; or as for `read_tree`.
    """
    root = read_tree(data, limits)
    rests = sum(_number(rest.get("num")) for rest in root.iter(f"{_MEI}multiRest", f"{_MEI}multiRpt"))
    if rests > _LONGEST // 4:
        raise _not_converted("MEI", said("it counts more bars of rest than a score has"))
    text = etree.tostring(root, encoding="unicode")

    def read() -> Any:
        from music21.mei import MeiToM21Converter

        return _with_mei_fingers(MeiToM21Converter(text).run(), root)

    title = next(root.iter(f"{_MEI}title"), None)
    return _converted(
        "MEI", read, limits, "" if title is None else " ".join("".join(map(str, title.itertext())).split())
    )


def midi_to_musicxml(data: bytes, limits: Limits) -> bytes:
    """Return a MIDI file as MusicXML, its rhythm rounded to sixteenths and triplets of eighths.

    Raises:
        ScoreError: `not-converted`.
    """

    def read() -> Any:
        from music21 import midi
        from music21.midi.translate import midiFileToStream

        file = midi.MidiFile()
        file.readstr(data)
        ticks = max((sum(_ticks(event) for event in track.events) for track in file.tracks), default=0)
        if not file.ticksPerQuarterNote or ticks / file.ticksPerQuarterNote > _LONGEST:
            raise _not_converted("MIDI", said("it lasts longer than a score does"))
        return midiFileToStream(file, quantizePost=True, quarterLengthDivisors=(4, 3))

    return _converted("MIDI", read, limits)


def _ticks(event: Any) -> int:
    return int(event.time) if event.isDeltaTime() else 0


def _converted(format: str, read: Callable[[], Any], limits: Limits, title: str = "") -> bytes:
    """What a reader returns, written as MusicXML that is the same every time."""
    from music21.musicxml.m21ToXml import GeneralObjectExporter

    try:
        with bounded_memory(limits.conversion_bytes):
            score = read()
            if not score.recurse().notes:
                raise _not_converted(format, said("there are no notes in it"))
            written = bytes(GeneralObjectExporter(score).parse())
    except ScoreError:
        raise
    except MemoryError:
        raise _not_converted(format, said("reading it takes more memory than is allowed")) from None
    except Exception:  # music21 raises whatever its parsers come across
        raise _not_converted(format, said("it does not follow the rules of the format")) from None
    return _settled(_tidied(written, title))


def _tidied(score: bytes, title: str) -> bytes:
    """Number the parts, and take out what music21 fills in: title and composer of its own, hidden rests in short bars.

    Nobody sees those rests, so nobody rests there.
    """
    root = etree.fromstring(score, safe_parser())
    for element in list(root.iter("movement-title", "creator")):
        parent = element.getparent()
        if (element.text or "").startswith("Music21") and parent is not None:
            parent.remove(element)
    ids = {each.get("id") or "": f"P{number}" for number, each in enumerate(root.iter("score-part"), start=1)}
    for element in root.iter("score-part", "part"):  # MEI numbers its staves, and a number is no id in XML
        element.set("id", ids.get(element.get("id") or "", ""))
    if title:
        heading = etree.Element("movement-title")
        heading.text = title
        root.insert(0, heading)
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


def _with_kern_names(score: Any, text: str) -> Any:
    """Name the parts as the spines are, which music21 leaves out; its parts go from the last spine to the first."""
    spines = _kern_spines(text)
    parts = list(score.parts)
    if len(parts) == len(spines):
        for part, name in zip(parts, reversed(spines), strict=True):
            if name:
                part.partName = name
    return score


def _kern_spines(text: str) -> list[str]:
    """The names of the kern spines, as they stand before the first note."""
    spines: dict[int, str] = {}
    for line in text.splitlines():
        columns = line.split("\t")
        if line.startswith("**"):
            spines = {number: "" for number, column in enumerate(columns) if column == "**kern"}
        elif not line.startswith(("*", "!")) or {"*^", "*v", "*+"} & set(columns):
            break
        for number, column in enumerate(columns):
            if number in spines and column.startswith('*I"'):
                spines[number] = column[3:].strip()
            elif number in spines and column in _KERN_NAMES:
                spines[number] = spines[number] or _KERN_NAMES[column]
    return list(spines.values())


def _with_mei_fingers(score: Any, root: etree._Element) -> Any:
    """Give notes their fingerings (`<fing>`), which music21 leaves out."""
    from music21 import articulations

    fingers = {
        (each.get("startid") or "").lstrip("#"): "".join(map(str, each.itertext())).strip()
        for each in root.iter(f"{_MEI}fing")
    }
    if fingers:
        for note in score.recurse().notes:
            for head in (note, *getattr(note, "notes", ())):
                digit = fingers.get(str(head.id), "")
                if digit.isdecimal() and len(digit) == 1:
                    note.articulations.append(articulations.Fingering(int(digit)))
    return score


def _number(text: str | None) -> int:
    return int(text) if text and text.isdecimal() and len(text) < 10 else 0


def _decoded(data: bytes) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def _not_converted(format: str, reason: str) -> ScoreError:
    return ScoreError(
        "not-converted",
        said("This {format} file could not be turned into MusicXML: {reason}.", format=format, reason=reason),
        said("Export it as MusicXML (.musicxml) from the program it comes from."),
        None,
        422,
    )
