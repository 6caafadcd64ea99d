"""Files that are not read, told by what they begin with or hold: each by its kind, with what to do about it."""

from __future__ import annotations

import re
from collections.abc import Iterable

from ...errors import said

Unread = tuple[str, str]
"""What a file is, and what its sender can do."""

_EXPORT = said(
    "Open it in the program that it comes from, export it as MusicXML (.musicxml or .mxl) and send that file."
)
_SCAN = said("Notes cannot be read from a picture. Write the part in a notation program and send its MusicXML.")
_SOUND = said("Notes cannot be read from a recording. Send the score as MusicXML (.musicxml or .mxl).")
_UNPACK = said("Unpack it and send the score in it.")


def _own_format(ending: str) -> str:
    return said("a {ending} file, the own format of a notation program", ending=ending)


_BEGINNINGS: tuple[tuple[bytes, str, str], ...] = (
    (b"%PDF", said("a PDF"), _SCAN),
    (b"MThd", said("a MIDI file"), _EXPORT),
    (b"\x89PNG", said("a picture"), _SCAN),
    (b"\xff\xd8\xff", said("a picture"), _SCAN),
    (b"GIF8", said("a picture"), _SCAN),
    (b"II*\0", said("a picture"), _SCAN),
    (b"MM\0*", said("a picture"), _SCAN),
    (b"ID3", said("a recording"), _SOUND),
    (b"RIFF", said("a recording"), _SOUND),
    (b"OggS", said("a recording"), _SOUND),
    (b"fLaC", said("a recording"), _SOUND),
    (b"\x0fSIBELIUS", _own_format(".sib"), _EXPORT),
    (b"ENIGMA BINARY FILE", _own_format(".mus"), _EXPORT),
    (b"[NoteWorthy", _own_format(".nwc"), _EXPORT),
    (b"[NWZ]", _own_format(".nwc"), _EXPORT),
    (b"!NoteWorthy", _own_format(".nwctxt"), _EXPORT),
    (b"\x18FICHIER GUITAR PRO", said("a tablature file (.gp3 to .gp5)"), _EXPORT),
    (b"\x1f\x8b", said("a gzip archive"), _UNPACK),
    (b"Rar!", said("a RAR archive"), _UNPACK),
    (b"7z\xbc\xaf", said("a 7z archive"), _UNPACK),
    (b"{\\rtf", said("a text document"), _EXPORT),
    (b"\xd0\xcf\x11\xe0", said("an office document"), _EXPORT),
)
_LILYPOND = re.compile(rb"\\(?:version\s+\"|score\s*\{|relative\b|new\s+(?:Staff|Score|Voice)\b)")
_ROOTS: dict[str, Unread] = {
    "museScore": (_own_format(".mscx"), _EXPORT),
    "mei": ("MEI", _EXPORT),
    "mnx": (said("an MNX file"), _EXPORT),
    "svg": (said("a drawing (SVG)"), _SCAN),
}
_WHC = "http://www.whc.de/"
_ENTRIES: tuple[tuple[str, str], ...] = (
    (".mscx", _own_format(".mscz")),
    ("score.dat", _own_format(".musx")),
    ("NotationMetadata.xml", _own_format(".musx")),
    ("score.gpif", said("a tablature file (.gp)")),
    ("scorelibrary.dtn", _own_format(".dorico")),
    ("word/document.xml", said("a text document")),
    ("content.xml", said("a text document")),
)


def kind_of_beginning(begin: bytes) -> Unread | None:
    """Return what a file is that begins so; None if that is not known."""
    for signature, kind, advice in _BEGINNINGS:
        if begin.startswith(signature):
            return kind, advice
    if begin.startswith(b"{"):
        return (said("an MNX file") if b'"mnx"' in begin else "JSON"), _EXPORT
    if not begin.startswith(b"<") and _LILYPOND.search(begin):
        return "LilyPond input", _EXPORT
    return None


def kind_of_root(tag: str) -> Unread | None:
    """Return what an XML file with this root element is, its namespace in braces before it; None if not known."""
    namespace, _, name = tag.rpartition("}")
    if namespace.startswith("{" + _WHC):
        return _own_format(".capx"), _EXPORT
    return _ROOTS.get(name)


def kind_of_entries(names: Iterable[str]) -> Unread | None:
    """Return what a zip archive with these entries is; None if that is not known."""
    held = list(names)
    for ending, kind in _ENTRIES:
        if any(name.endswith(ending) for name in held):
            return kind, _EXPORT
    return None
