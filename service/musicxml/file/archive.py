"""Compressed scores (.mxl): the score is replaced, every other entry stays as it is.

An archive whose score changes is written anew: each entry with the bytes, name, date, attributes and comment that it
had, compressed as before, one behind the other, and then the directory. Nothing else is in it, so that every zip reader
opens it. Other entries are copied as they are compressed; only the score is unpacked.
"""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from dataclasses import dataclass, field
from xml.parsers import expat

from ... import errors
from ...config.file_limits import Limits
from ...errors import said
from .unread import kind_of_entries

_CONTAINER = "META-INF/container.xml"
_LOCAL = struct.Struct("<4s5H3I2H")  # before each entry: signature … checksum, sizes, length of name, of extra
_ROW = struct.Struct("<4s6H3I5H2I")  # in the directory: signature … checksum, sizes, lengths … offset
_END = struct.Struct("<4s4H2IH")  # behind the directory: signature … its size, its offset, length of the comment
_SIZES = struct.Struct("<4s3I")  # behind an entry whose sizes follow: signature, checksum, sizes
_LOCKED, _SIZES_FOLLOW = 0x1, 0x8  # bits of an entry's flags
_LARGE_LAYOUT = 1  # the extra field of archives beyond 4 GB
_LEVEL = 6
_NEVER_SUSPECT = 1_000_000  # bytes; the ratio is not checked for scores up to this size


@dataclass(frozen=True, slots=True)
class _Entry:
    """One entry: what zipfile says about it, and its header and directory row as they stand in the archive."""

    info: zipfile.ZipInfo
    header: tuple[int, ...]
    row: tuple[int, ...]
    local: tuple[bytes, bytes]  # name and extra of the header
    listed: tuple[bytes, bytes, bytes]  # name, extra and comment of the row
    content: memoryview  # as compressed


@dataclass(frozen=True, slots=True)
class Archive:
    """An opened archive: the bytes of the score in it, and how to put others in their place."""

    score: bytes
    other_scores: tuple[str, ...]
    _data: bytes = field(repr=False)
    _entries: tuple[_Entry, ...] = field(repr=False)
    _own: _Entry = field(repr=False)
    _end: bytes = field(repr=False)  # the end of the directory, comment included

    def rebuild(self, score: bytes) -> bytes:
        """Return the archive with this score in the place of its own; the archive as it is for its own score."""
        if score == self.score:
            return self._data
        out = bytearray()
        offsets: dict[int, int] = {}
        replaced = _Replaced.of(score, self._own.info.compress_type)
        for number in sorted(range(len(self._entries)), key=lambda n: self._entries[n].info.header_offset):
            entry = self._entries[number]
            offsets[number] = len(out)
            out += _record(entry, replaced if entry is self._own else None)
        start = len(out)
        for number, entry in enumerate(self._entries):
            out += _listed(entry, replaced if entry is self._own else None, offsets[number])
        count = len(self._entries)
        out += _END.pack(b"PK\5\6", 0, 0, count, count, len(out) - start, start, len(self._end) - _END.size)
        return bytes(out + self._end[_END.size :])

    @property
    def surroundings(self) -> bytes:
        """Everything but the score: names, dates, attributes and checksums of the other entries, and the comments."""
        name, extra, comment = self._own.listed
        own = name + _without_large_layout(extra) + comment
        others = (_listed(entry, None, 0) for entry in self._entries if entry is not self._own)
        return b"".join([*others, own, self._end[_END.size :]])


@dataclass(frozen=True, slots=True)
class _Replaced:
    """What stands in the place of the score: compressed, with checksum and size before compression."""

    content: bytes
    checksum: int
    size: int

    @classmethod
    def of(cls, score: bytes, method: int) -> _Replaced:
        """Compress a score the way its entry is compressed."""
        content = score
        if method == zipfile.ZIP_DEFLATED:
            deflater = zlib.compressobj(_LEVEL, zlib.DEFLATED, -15)
            content = deflater.compress(score) + deflater.flush()
        return cls(content, zlib.crc32(score), len(score))


def open_archive(data: bytes, limits: Limits) -> Archive:
    """Open a .mxl and unpack the score in it, and nothing else.

    Raises:
        ScoreError: no zip archive, no .mxl, locked, or beyond the limits.
    """
    infos, directory, shift, end = _directory(data, limits)
    by_name = {info.filename: info for info in infos}
    if _CONTAINER not in by_name:
        raise errors.no_container(kind_of_entries(by_name))
    entries = _read_entries(data, infos, directory, shift)
    name = _score_name(_unpacked(data, by_name[_CONTAINER], limits.container_bytes, limits, "META-INF/container.xml"))
    if name not in by_name:  # a name in UTF-8 that does not say so
        name = name.encode("utf-8").decode("cp437")
    own = [entry for entry in entries if entry.info.filename == name]
    if not own:
        raise errors.bad_archive(said("META-INF/container.xml names a score that is not in it"))
    if len(own) > 1:
        raise errors.bad_archive(said("it holds the score twice"))
    return Archive(
        score=_unpacked(data, own[0].info, limits.unpacked_bytes, limits, "The score"),
        other_scores=tuple(
            info.filename
            for info in infos
            if info.filename.lower().endswith((".xml", ".musicxml")) and info.filename not in (name, _CONTAINER)
        ),
        _data=data,
        _entries=entries,
        _own=own[0],
        _end=data[end:],
    )


def _directory(data: bytes, limits: Limits) -> tuple[list[zipfile.ZipInfo], int, int, int]:
    """Every entry, where the directory begins, the bytes before the archive proper, and where the directory ends."""
    end = data.rfind(b"PK\5\6")
    if end < 0 or end + _END.size > len(data):
        raise errors.bad_archive(said("its directory is missing; it was probably cut off on its way"))
    size, offset = _END.unpack_from(data, end)[5:7]
    count = data.count(b"PK\1\2", max(end - size, 0), end)
    if count > limits.entries:
        raise errors.too_many(said("files in the archive"), count, limits.entries)
    if 0xFFFFFFFF in (size, offset) or data[end - 20 : end - 16] == b"PK\6\7":
        raise errors.bad_archive(said("it is written in the layout for archives beyond 4 GB"))
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            entries, directory = archive.infolist(), archive.start_dir
    except (zipfile.BadZipFile, struct.error, ValueError, NotImplementedError, OverflowError):
        raise errors.bad_archive(said("it is damaged")) from None
    if (
        directory + size != end
        or directory < offset
        or _end_of_rows(data, directory) != end
        or any(not 0 <= entry.header_offset < directory for entry in entries)
    ):
        raise errors.bad_archive(said("its directory is damaged"))
    return entries, directory, directory - offset, end


def _read_entries(data: bytes, infos: list[zipfile.ZipInfo], directory: int, shift: int) -> tuple[_Entry, ...]:
    """The entries as they stand in the archive.

    Raises:
        ScoreError: `bad-archive`, if an entry reaches into the next one or into the directory.
    """
    entries = []
    here = directory
    for info in infos:
        row = _ROW.unpack_from(data, here)
        here += _ROW.size
        listed, here = _pieces(data, here, row[10:13])
        start = row[16] + shift
        if start != info.header_offset or not data.startswith(b"PK\3\4", start) or start + _LOCAL.size > directory:
            raise errors.bad_archive(said("the entry {filename} is damaged", filename=repr(info.filename)))
        header = _LOCAL.unpack_from(data, start)
        local, begin = _pieces(data, start + _LOCAL.size, header[9:11])
        if local[0] != listed[0]:
            raise errors.bad_archive(said("the entry {filename} has two names", filename=repr(info.filename)))
        content = memoryview(data)[begin : begin + info.compress_size]
        entries.append(_Entry(info, header, row, (local[0], local[1]), (listed[0], listed[1], listed[2]), content))
    last = 0
    for entry in sorted(entries, key=lambda each: each.info.header_offset):
        if entry.info.header_offset < last:
            raise errors.bad_archive(said("two of its entries overlap"))
        last = entry.info.header_offset + _LOCAL.size + sum(map(len, entry.local)) + entry.info.compress_size
    if last > directory:
        raise errors.bad_archive(said("its last entry is cut off"))
    return tuple(entries)


def _pieces(data: bytes, here: int, lengths: tuple[int, ...]) -> tuple[list[bytes], int]:
    """Pieces of these lengths one behind the other, and where they end."""
    found = []
    for length in lengths:
        found.append(data[here : here + length])
        here += length
    return found, here


def _end_of_rows(data: bytes, here: int) -> int:
    """Where the rows of the directory end, walked by their own lengths."""
    while data.startswith(b"PK\1\2", here) and here + _ROW.size <= len(data):
        here += _ROW.size + sum(_ROW.unpack_from(data, here)[10:13])
    return here


def _unpacked(data: bytes, entry: zipfile.ZipInfo, limit: int, limits: Limits, what: str) -> bytes:
    """One entry, never more than `limit` bytes of it, whatever the archive claims."""
    if entry.flag_bits & _LOCKED:
        raise errors.encrypted_archive()
    if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise errors.bad_archive(said("it is compressed in an unusual way"))
    content = _inflated(data, entry, limit)
    if content is None:
        raise errors.bad_archive(said("the entry {filename} is damaged", filename=repr(entry.filename)))
    ratio = len(content) // max(entry.compress_size, 1)
    if len(content) > _NEVER_SUSPECT and ratio > limits.ratio:
        raise errors.unpacks_too_far(ratio, limits.ratio)
    if len(content) > limit:
        raise errors.too_large(what, max(len(content), entry.file_size), limit)
    if len(content) != entry.file_size or zlib.crc32(content) != entry.CRC:
        raise errors.bad_archive(said("the entry {filename} is damaged", filename=repr(entry.filename)))
    return content


def _inflated(data: bytes, entry: zipfile.ZipInfo, limit: int) -> bytes | None:
    """The content of an entry, or its first `limit` bytes and one more; None if there is nothing to be read."""
    start = entry.header_offset
    if not data.startswith(b"PK\3\4", start) or start + _LOCAL.size > len(data):
        return None
    start += _LOCAL.size + sum(_LOCAL.unpack_from(data, start)[9:11])
    content = data[start : start + entry.compress_size]
    if entry.compress_type == zipfile.ZIP_STORED:
        return content
    try:
        return zlib.decompressobj(-15).decompress(content, limit + 1)
    except zlib.error:
        return None


def _score_name(container: bytes) -> str:
    """The first score named; its path is a key into the archive and never anything else.

    Raises:
        ScoreError: `entities-declared` at the first declaration, so that none is ever expanded; `bad-archive`.
    """
    paths: list[str] = []

    def begins(name: str, attributes: dict[str, str]) -> None:
        if name.rpartition(" ")[2] == "rootfile" and attributes.get("full-path"):
            paths.append(attributes["full-path"])

    def refuse(*_: object) -> None:
        raise errors.entities_declared()

    parser = expat.ParserCreate(namespace_separator=" ")
    parser.StartElementHandler, parser.EntityDeclHandler = begins, refuse
    try:
        parser.Parse(container, True)
    except (expat.ExpatError, ValueError, LookupError):
        raise errors.bad_archive(said("META-INF/container.xml is not well-formed")) from None
    if not paths:
        raise errors.bad_archive(said("META-INF/container.xml names no score"))
    return paths[0]


def _record(entry: _Entry, replaced: _Replaced | None) -> bytes:
    """An entry with its header; a new score in its place if there is one.

    Sizes stand in the header, where readers need them that go from entry to entry. Of a locked entry they stay behind
    it: its password is checked differently then.
    """
    header = list(entry.header)
    name, extra = entry.local[0], _without_large_layout(entry.local[1])
    content = bytes(entry.content) if replaced is None else replaced.content
    sizes = _sizes(entry, replaced)
    behind = b""
    if header[2] & _SIZES_FOLLOW and header[2] & _LOCKED:
        behind = _SIZES.pack(b"PK\7\10", *sizes)
    else:
        header[2] &= ~_SIZES_FOLLOW
        header[6:9] = sizes
    header[10] = len(extra)
    return _LOCAL.pack(*header) + name + extra + content + behind


def _listed(entry: _Entry, replaced: _Replaced | None, offset: int) -> bytes:
    """The row of an entry in the directory."""
    name, extra, comment = entry.listed[0], _without_large_layout(entry.listed[1]), entry.listed[2]
    row = list(entry.row)
    if not row[3] & _LOCKED:
        row[3] &= ~_SIZES_FOLLOW
    row[7:10] = _sizes(entry, replaced)
    row[11], row[13], row[16] = len(extra), 0, offset
    return _ROW.pack(*row) + name + extra + comment


def _sizes(entry: _Entry, replaced: _Replaced | None) -> tuple[int, int, int]:
    """Checksum, size as compressed, and size."""
    if replaced is None:
        return entry.info.CRC, entry.info.compress_size, entry.info.file_size
    return replaced.checksum, len(replaced.content), replaced.size


def _without_large_layout(extra: bytes) -> bytes:
    kept, here = b"", 0
    while here + 4 <= len(extra):
        kind, size = struct.unpack_from("<2H", extra, here)
        if kind != _LARGE_LAYOUT:
            kept += extra[here : here + 4 + size]
        here += 4 + size
    return kept + extra[here:]
