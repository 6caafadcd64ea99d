"""Limits on the files that are opened; settings may change them."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Limits:
    """Bounds on what is opened; every one is checked before the cost arises.

    Attributes:
        upload_bytes: the file as sent.
        unpacked_bytes: the score's XML, unpacked and decoded.
        container_bytes: META-INF/container.xml, unpacked.
        entries: files in an archive.
        ratio: unpacked to packed size, for scores above a megabyte.
        notes: note elements, all parts together.
        parts: parts of the score.
        depth: elements within each other; the XML parser itself allows no more than 256.
        tags: angle brackets that open a tag; the parser's memory grows with them, about 100 bytes each.
        other_bytes: a file in another format than MusicXML.
        conversion_bytes: memory that turning such a file into MusicXML may take.
    """

    upload_bytes: int = 10_000_000
    unpacked_bytes: int = 30_000_000
    container_bytes: int = 64_000
    entries: int = 200
    ratio: int = 200
    notes: int = 200_000
    parts: int = 500
    depth: int = 256
    tags: int = 3_000_000
    other_bytes: int = 1_000_000
    conversion_bytes: int = 1_000_000_000


DEFAULT_LIMITS = Limits()
