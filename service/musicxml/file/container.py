"""A score file in any of its wrappings: plain or compressed, in the encoding it came in.

`open_document` decides by content, never by name: a zip archive is a compressed score (.mxl), whose
META-INF/container.xml names the score inside; everything else must be XML in UTF-8, UTF-16 or an encoding that extends
ASCII. A document is parsed once, and from the same bytes that are searched for offsets (`Document.working`): UTF-16 is
transcoded to UTF-8 for both, a byte order mark is kept apart. `Document.rebuild` wraps working bytes again.
Nothing is fetched, nothing written to disk, every size is bounded before it is spent. How an archive is rebuilt
stands in `archive.py`.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Literal, cast

from lxml import etree

from ... import errors
from ...config.file_limits import DEFAULT_LIMITS, Limits
from ...errors import said
from .scan import find_notes, opaque_ranges, texts_of_notes
from .unread import kind_of_beginning, kind_of_root

if TYPE_CHECKING:
    from .archive import Archive

_UTF8_MARK = codecs.BOM_UTF8
_DECLARED = re.compile(rb"<\?xml[ \t\r\n][^>]*?encoding[ \t\r\n]*=[ \t\r\n]*[\"']([A-Za-z0-9._-]+)[\"']")
_PARSER_DEPTH = 256  # libxml2 refuses more by itself
# Encodings in which no byte of another character looks like markup, by their Python names.
_EXTENDS_ASCII = re.compile(r"ascii|utf-8|iso8859-\d+|cp125\d|koi8-r|mac-roman|euc_\w+|gb2312")


@dataclass(frozen=True)
class Document:
    """One opened score.

    Attributes:
        data: the file as it was sent.
        kind: how it was wrapped: plain XML or a compressed score.
        encoding: of the XML, by Python's name of it.
        root: the parsed root element, always `score-partwise`.
        working: the XML as bytes that extend ASCII, without byte order mark, as `prepare` returned them; the bytes
            that `root` was parsed from.
        notes: how many notes the parser found.
        original: the working bytes as they were sent, before `prepare`.
        other_scores: further score-like entries of an archive; they are copied and do not follow changes.
    """

    data: bytes
    kind: Literal["xml", "mxl"]
    encoding: str
    root: etree._Element
    working: bytes
    notes: int
    original: bytes = field(repr=False)
    other_scores: tuple[str, ...] = ()
    _mark: bytes = field(default=b"", repr=False)  # the byte order mark
    _archive: Archive | None = field(default=None, repr=False)

    def parse(self, working: bytes) -> etree._Element:
        """Parse other working bytes of this document, for example those with marks in them."""
        return etree.fromstring(working, safe_parser(_override(self.encoding, bool(self._mark))))

    @cached_property
    def text_of_note(self) -> Callable[[int], bytes]:
        """Return what gives the text of a note, by its place among all notes of the document, from 0."""
        return texts_of_notes(self.working, self.note_starts)

    @cached_property
    def note_starts(self) -> list[int]:
        """The offsets of the notes in the working bytes, as `find_notes` finds them."""
        return find_notes(self.working)

    def rebuild(self, working: bytes) -> bytes:
        """The whole file again around other working bytes, in its own kind and encoding.

        Around the working bytes as they were in the file, the result is `data` itself. In an archive only the score
        changes; how it is compressed may change too.
        """
        if working == self.original:
            return self.data
        text = working
        if self.encoding.startswith("utf-16"):
            text = working.decode("utf-8").encode(self.encoding)
        text = self._mark + text
        return self._archive.rebuild(text) if self._archive else text

    @property
    def surroundings(self) -> bytes:
        """What an archive holds besides its score, as bytes to compare; empty for a plain score."""
        return self._archive.surroundings if self._archive else b""


def open_document(
    data: bytes, limits: Limits = DEFAULT_LIMITS, prepare: Callable[[bytes], bytes] | None = None
) -> Document:
    """Opens a score file and parses it.

    `prepare` may change the working bytes before they are parsed (taking out marks of an earlier run); what the file
    itself held is still known to `Document.rebuild`.

    Raises:
        ScoreError: not a score, broken, refused or too large; see `service.errors` for every case.
    """
    archive = _archive(data, limits)
    mark, encoding, original = _working_text(archive.score if archive else data, limits)
    _recognise(original)
    _count(original, limits)
    working = prepare(original) if prepare else original
    root = _parse(working, original, encoding, bool(mark))
    _check_root(root, working)
    notes = _check_tree(root, limits)
    return Document(
        data=data,
        kind="mxl" if archive else "xml",
        encoding=encoding,
        root=root,
        working=working,
        notes=notes,
        original=original,
        other_scores=archive.other_scores if archive else (),
        _mark=mark,
        _archive=archive,
    )


def read_tree(data: bytes, limits: Limits = DEFAULT_LIMITS) -> etree._Element:
    """Return the root of an XML file or of the score in an archive, whatever the root is called.

    Raises:
        ScoreError: broken, refused or too large.
    """
    archive = _archive(data, limits)
    mark, encoding, text = _working_text(archive.score if archive else data, limits)
    _count(text, limits)
    root = _parse(text, text, encoding, bool(mark))
    if _declares_entities(text):
        raise errors.entities_declared()
    return root


def _archive(data: bytes, limits: Limits) -> Archive | None:
    """The archive that a file is, or None; a file that is too large is refused."""
    if len(data) > limits.upload_bytes:
        raise errors.too_large(said("The file"), len(data), limits.upload_bytes)
    if data[:2] != b"PK":
        return None
    from .archive import open_archive  # most scores need no zip: do not import it for them

    return open_archive(data, limits)


def _working_text(text: bytes, limits: Limits) -> tuple[bytes, str, bytes]:
    """Byte order mark, encoding and working bytes; what is too large is refused."""
    mark, encoding, working = _decoded(text)
    if len(working) > limits.unpacked_bytes:
        raise errors.too_large(said("The score"), len(working), limits.unpacked_bytes)
    return mark, encoding, working


def _decoded(text: bytes) -> tuple[bytes, str, bytes]:
    """Byte order mark, encoding and working bytes."""
    if text.startswith((codecs.BOM_UTF32_LE, codecs.BOM_UTF32_BE, b"\0\0\0<", b"<\0\0\0")):
        raise errors.encoding_unsupported("UTF-32")
    for mark, encoding, first in (
        (codecs.BOM_UTF16_LE, "utf-16-le", b"<\0"),
        (codecs.BOM_UTF16_BE, "utf-16-be", b"\0<"),
    ):
        if text.startswith(mark) or text.startswith(first):
            found = mark if text.startswith(mark) else b""
            try:
                return found, encoding, text[len(found) :].decode(encoding).encode("utf-8")
            except UnicodeError as problem:
                offset = getattr(problem, "start", 0) + len(found)
                raise errors.encoding_wrong("UTF-16", offset) from None
    if text.startswith(_UTF8_MARK):
        return _UTF8_MARK, "utf-8", text[len(_UTF8_MARK) :]
    declared = _DECLARED.match(text)
    name = declared[1].decode("ascii") if declared else "utf-8"
    try:
        encoding = codecs.lookup(name).name
    except LookupError:
        raise errors.encoding_unsupported(name) from None
    if not _EXTENDS_ASCII.fullmatch(encoding):
        raise errors.encoding_unsupported(name)
    return b"", encoding, text


def _recognise(text: bytes) -> None:
    """Refuse what is plainly not a score, with a clearer message than the parser has."""
    begin = text[:1024].lstrip()
    if not begin:
        raise errors.empty()
    lower = begin.lower()
    if lower.startswith((b"<!doctype html", b"<html")) or (lower.startswith(b"<?xml") and b"<html" in lower):
        raise errors.html_page()
    unread = kind_of_beginning(begin)
    if unread is not None:
        raise errors.not_xml(*unread)
    if not begin.startswith(b"<"):
        binary = any(byte < 9 for byte in begin)
        raise errors.not_xml(said("a binary file") if binary else said("plain text"))


def _count(text: bytes, limits: Limits) -> None:
    """Check the limits before parsing."""
    if text.count(b"<note") > limits.notes:  # an upper bound: other tags begin alike
        notes = len(find_notes(text))
        if notes > limits.notes:
            raise errors.too_many(said("notes"), notes, limits.notes)
    if len(text) > limits.tags:  # fewer bytes cannot hold too many tags
        tags = text.count(b"<")
        if tags > limits.tags:
            raise errors.too_many(said("tags"), tags, limits.tags)


def safe_parser(encoding: str | None = None) -> etree.XMLParser:
    """Return a parser that opens nothing, expands nothing and takes no liberties."""
    return etree.XMLParser(
        encoding=encoding,
        resolve_entities=False,
        no_network=True,
        load_dtd=False,
        dtd_validation=False,
        huge_tree=False,
        strip_cdata=False,
        remove_blank_text=False,
        remove_comments=False,
        remove_pis=False,
        recover=False,
    )


def _override(encoding: str, marked: bool) -> str | None:
    """The encoding of the working bytes where it differs from the declared one."""
    return "utf-8" if marked or encoding.startswith("utf-16") else None


def _parse(working: bytes, original: bytes, encoding: str, marked: bool) -> etree._Element:
    try:
        return etree.fromstring(working, safe_parser(_override(encoding, marked)))
    except (etree.XMLSyntaxError, ValueError) as problem:
        if working is not original:
            _parse(original, original, encoding, marked)  # names the line of the file that was sent
            raise errors.malformed(
                said("the marks of an earlier run were changed and cannot be taken out"), None
            ) from None
        if _declares_entities(original):
            raise errors.entities_declared() from None
        raise _complaint(problem, original) from None


def _complaint(problem: Exception, text: bytes) -> errors.ScoreError:
    line, column = getattr(problem, "position", (None, None))
    reason = re.sub(r",? \(?line \d+.*$", "", str(problem), flags=re.DOTALL).replace("\n", " ")
    if "depth" in reason:
        return errors.too_deep(line)
    if "encoding" in reason or "invalid byte" in reason.lower():
        return errors.malformed(said("{reason} (is the declared encoding right?)", reason=reason), line, column)
    if line is not None and _stops_at(text, line, column or 0, reason):
        return errors.truncated(line)
    return errors.malformed(reason.rstrip(". "), line, column)


def _stops_at(text: bytes, line: int, column: int, reason: str) -> bool:
    """Whether the parser complains about the very end of a text whose root has not been closed."""
    if b"</score-partwise>" in text:
        return False
    lines = text.rstrip().split(b"\n")
    last = len(lines[-1].decode("utf-8", "replace"))
    return "not terminated" in reason or line > len(lines) or (line == len(lines) and column >= last)


def _declares_entities(text: bytes) -> bool:
    here = 0
    for begin, end in opaque_ranges(text):
        if b"<" in text[here:begin]:
            break  # the root has begun, and no document type comes behind it
        if text.startswith(b"<!DOCTYPE", begin):
            return b"<!ENTITY" in text[begin:end]
        here = end
    return False


def _check_root(root: etree._Element, working: bytes) -> None:
    if _declares_entities(working):
        raise errors.entities_declared()
    name = etree.QName(root).localname
    if name == "html":
        raise errors.html_page()
    unread = kind_of_root(str(root.tag))
    if unread is not None:
        raise errors.wrong_root(name, unread)
    if root.tag != name:
        raise errors.namespaced(name)
    if name == "score-timewise":
        raise errors.timewise()
    if name != "score-partwise":
        raise errors.wrong_root(name)
    # A default namespace further in would hide notes from the reader that stand in the text.
    if b"xmlns" in working and any(note.tag != "note" for note in root.iter("{*}note")):
        raise errors.namespaced("note")


_NOTES = etree.XPath("count(//note)")
_NOTES_IN_MEASURES = etree.XPath("count(/score-partwise/part/measure/note)")
_MISPLACED = etree.XPath("(//note[not(parent::measure/parent::part/parent::score-partwise)])[1]")


def _check_tree(root: etree._Element, limits: Limits) -> int:
    """Refuse what no reader expects; return how many notes there are."""
    notes = int(cast("float", _NOTES(root)))
    if notes != _NOTES_IN_MEASURES(root):
        (note,) = cast("list[etree._Element]", _MISPLACED(root))
        parent = note.getparent()
        line = cast("int | None", note.sourceline)
        raise errors.misplaced_note("" if parent is None else str(parent.tag), line)
    parts = len(root.findall("part"))
    if parts > limits.parts:
        raise errors.too_many(said("parts"), parts, limits.parts)
    if limits.depth < _PARSER_DEPTH and root.find("/".join(["*"] * limits.depth)) is not None:
        raise errors.too_deep(None)
    return notes
