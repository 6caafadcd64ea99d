"""Compressed scores (.mxl): one entry replaced, everything else as it was, and undone to the byte.

A compressor's output cannot be made again exactly, so an archive whose score was replaced keeps what it replaced:
between its last entry and its directory stands a block with the original record of the score, as it was compressed,
and the original directory. Zip readers go by the directory and never look there (signed Android packages use the same
gap); `rebuild` with the original score restores the original archive byte for byte. The block carries a checksum over
the rest of the archive; if anything else changed meanwhile, it is ignored and the archive is taken as it stands.
All other entries are copied as raw bytes: order, compression, dates, attributes, comments and all.
What belongs here: zip. What does not: XML, apart from the name of the score in META-INF/container.xml.
"""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from dataclasses import dataclass

from lxml import etree

from ... import errors
from ...config.limits import Limits

_CONTAINER = "META-INF/container.xml"
_LOCAL = struct.Struct("<4s5H3I2H")  # before each entry: signature … checksum, sizes, length of name, of extra
_ROW = struct.Struct("<4s6H3I5H2I")  # in the directory: signature … checksum, sizes, lengths … offset
_END = struct.Struct("<4s4H2IH")  # behind the directory: signature … its size, its offset, length of the comment
_LOCKED, _SIZES_FOLLOW = 0x1, 0x8  # bits of an entry's flags
_LARGE_LAYOUT = 1  # the extra field of archives beyond 4 GB
_LEVEL = 6
_NEVER_SUSPECT = 1_000_000  # bytes; a score up to this size may compress as well as it likes

_HEADING = b"handframe: the score as it was\n"
_FOOTER = struct.Struct("<4I12s")  # the score's record: offset, length now, length before; checksum; signature
_SIGNATURE = b"handframe 1\n"


@dataclass(frozen=True, slots=True)
class Archive:
    """An opened archive: the bytes of the score in it, and how to put others in their place."""

    score: bytes
    other_scores: tuple[str, ...]
    _data: bytes
    _limits: Limits
    _packed: bool
    _record: tuple[int, int]  # from, to: everything the archive holds for the score
    _directory: int
    _shift: int  # bytes before the archive proper, which its offsets do not count

    def rebuild(self, score: bytes) -> bytes:
        """The archive with this score in the place of its own.

        Made from the original archive if this one still holds it, so the original score gives the original archive.
        """
        original = _original(self._data, self._directory)
        if original is not None:
            try:
                base = open_archive(original, self._limits)
            except errors.ScoreError:
                pass  # made up by somebody else: the archive stands for itself
            else:
                return original if score == base.score else base._replaced(score)
        return self._data if score == self.score else self._replaced(score)

    def _replaced(self, score: bytes) -> bytes:
        start, stop = self._record
        record = _new_record(self._data[start:stop], score, self._packed)
        grown = len(record) - (stop - start)
        old_directory = self._data[self._directory :]
        kept = _HEADING + self._data[start:stop] + old_directory
        moved = grown + len(kept) + _FOOTER.size
        directory = _new_directory(old_directory, self._shift, start, record, grown, moved)
        body = self._data[:start] + record + self._data[stop : self._directory]
        checksum = zlib.crc32(directory, zlib.crc32(body))
        footer = _FOOTER.pack(start, len(record), stop - start, checksum, _SIGNATURE)
        return body + kept + footer + directory


def open_archive(data: bytes, limits: Limits) -> Archive:
    """Opens a .mxl and unpacks the score in it, and nothing else.

    Raises:
        ScoreError: no zip archive, no .mxl, locked, or beyond the limits.
    """
    entries, directory, shift = _entries(data, limits)
    by_name = {entry.filename: entry for entry in entries}
    if _CONTAINER not in by_name:
        raise errors.no_container()
    name = _score_name(_unpacked(data, by_name[_CONTAINER], limits.container_bytes, limits, "META-INF/container.xml"))
    if name not in by_name:  # a name in UTF-8 that does not say so
        name = name.encode("utf-8").decode("cp437")
    entry = by_name.get(name)
    if entry is None:
        raise errors.bad_archive("META-INF/container.xml names a score that is not in it")
    if sum(other.filename == name for other in entries) > 1:
        raise errors.bad_archive("it holds the score twice")
    start = entry.header_offset
    stop = min([other.header_offset for other in entries if other.header_offset > start], default=directory)
    return Archive(
        score=_unpacked(data, entry, limits.unpacked_bytes, limits, "The score"),
        other_scores=tuple(
            other.filename
            for other in entries
            if other.filename.lower().endswith((".xml", ".musicxml")) and other.filename not in (name, _CONTAINER)
        ),
        _data=data,
        _limits=limits,
        _packed=entry.compress_type == zipfile.ZIP_DEFLATED,
        _record=(start, stop),
        _directory=directory,
        _shift=shift,
    )


def _entries(data: bytes, limits: Limits) -> tuple[list[zipfile.ZipInfo], int, int]:
    """Every entry, the offset of the directory, and the bytes before the archive proper."""
    end = data.rfind(b"PK\5\6")
    if end < 0 or end + _END.size > len(data):
        raise errors.bad_archive("its directory is missing; it was probably cut off on its way")
    size, offset = _END.unpack_from(data, end)[5:7]
    count = data.count(b"PK\1\2", max(end - size, 0), end)
    if count > limits.entries:
        raise errors.too_many("files in the archive", count, limits.entries)
    if 0xFFFFFFFF in (size, offset) or data[end - 20 : end - 16] == b"PK\6\7":
        raise errors.bad_archive("it is written in the layout for archives beyond 4 GB")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            entries, directory = archive.infolist(), archive.start_dir
    except (zipfile.BadZipFile, struct.error, ValueError, NotImplementedError, OverflowError):
        raise errors.bad_archive("it is damaged") from None
    if (
        directory + size != end
        or directory < offset
        or _end_of_rows(data, directory) != end
        or any(not 0 <= entry.header_offset < directory for entry in entries)
    ):
        raise errors.bad_archive("its directory is damaged")
    return entries, directory, directory - offset


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
        raise errors.bad_archive("it is compressed in an unusual way")
    content = _inflated(data, entry, limit)
    if content is None:
        raise errors.bad_archive(f"the entry {entry.filename!r} is damaged")
    ratio = len(content) // max(entry.compress_size, 1)
    if len(content) > _NEVER_SUSPECT and ratio > limits.ratio:
        raise errors.unpacks_too_far(ratio, limits.ratio)
    if len(content) > limit:
        raise errors.too_large(what, max(len(content), entry.file_size), limit)
    if len(content) != entry.file_size or zlib.crc32(content) != entry.CRC:
        raise errors.bad_archive(f"the entry {entry.filename!r} is damaged")
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
    """The first score named; its path is a key into the archive and never anything else."""
    parser = etree.XMLParser(resolve_entities=False, no_network=True, load_dtd=False, huge_tree=False)
    try:
        root = etree.fromstring(container, parser)
    except (etree.XMLSyntaxError, ValueError):
        raise errors.bad_archive("META-INF/container.xml is not well-formed") from None
    for rootfile in root.iter("{*}rootfile"):
        if path := rootfile.get("full-path"):
            return path
    raise errors.bad_archive("META-INF/container.xml names no score")


def _original(data: bytes, directory: int) -> bytes | None:
    """The archive that this one was made from, if it holds one and nothing else changed since."""
    footer = directory - _FOOTER.size
    if footer < 0 or not data.endswith(_SIGNATURE, 0, directory):
        return None
    start, length, length_before, checksum, _ = _FOOTER.unpack_from(data, footer)
    # The old directory is as long as the new one: rows are patched in place.
    kept = footer - (len(data) - directory) - length_before
    heading = kept - len(_HEADING)
    if not 0 <= start <= start + length <= heading or data[heading:kept] != _HEADING:
        return None
    if zlib.crc32(data[directory:], zlib.crc32(data[:heading])) != checksum:
        return None
    old_record = data[kept : kept + length_before]
    return data[:start] + old_record + data[start + length : heading] + data[kept + length_before : footer]


def _new_record(old: bytes, score: bytes, packed: bool) -> bytes:
    header = list(_LOCAL.unpack_from(old))
    name_end = _LOCAL.size + header[9]
    extra = _without_large_layout(old[name_end : name_end + header[10]])
    content = score
    if packed:
        deflater = zlib.compressobj(_LEVEL, zlib.DEFLATED, -15)
        content = deflater.compress(score) + deflater.flush()
    header[2] &= ~_SIZES_FOLLOW
    header[6:9] = zlib.crc32(score), len(content), len(score)
    header[10] = len(extra)
    return _LOCAL.pack(*header) + old[_LOCAL.size : name_end] + extra + content


def _without_large_layout(extra: bytes) -> bytes:
    kept, here = b"", 0
    while here + 4 <= len(extra):
        kind, size = struct.unpack_from("<2H", extra, here)
        if kind != _LARGE_LAYOUT:
            kept += extra[here : here + 4 + size]
        here += 4 + size
    return kept + extra[here:]


def _new_directory(old: bytes, shift: int, start: int, record: bytes, grown: int, moved: int) -> bytes:
    """The directory with the score's row and every offset behind it put right; its length does not change.

    `start` is the offset of the score's record, `grown` by how much that grew, `moved` by how much the directory moves.
    Offsets count from the first entry, which `shift` bytes of something else may precede.
    """
    new = bytearray(old)
    here = 0
    while old.startswith(b"PK\1\2", here):
        row = list(_ROW.unpack_from(old, here))
        if row[16] + shift == start:
            row[3] &= ~_SIZES_FOLLOW
            row[7:10] = _LOCAL.unpack_from(record)[6:9]
        elif row[16] + shift > start:
            row[16] += grown
        _ROW.pack_into(new, here, *row)
        here += _ROW.size + sum(row[10:13])
    end = list(_END.unpack_from(old, here))
    end[6] += moved
    _END.pack_into(new, here, *end)
    return bytes(new)
