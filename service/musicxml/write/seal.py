"""A seal on a file that we wrote: it shows that nobody has changed the file since.

    <?handframe copy …?>    stands at the very end; holds the SHA-256 of everything before it, and for a compressed
                            score also of what surrounds the score in the archive

`clean` takes it off. An editor that saves the file drops it or makes it false.
"""

from __future__ import annotations

import re

from ..file.scan import opaque_ranges

_SEAL = re.compile(rb"<\?handframe copy [0-9a-f]{64}\?>")
_LENGTH = len(b"<?handframe copy ?>") + 64
_BLANKS = b" \t\r\n"


def sealed(text: bytes, surroundings: bytes = b"") -> bytes:
    """Return a document with a seal behind it."""
    return text + _seal(text, surroundings)


def seal_is_intact(text: bytes, surroundings: bytes = b"") -> bool:
    """Whether a document ends in a valid seal."""
    return text[-_LENGTH:] == _seal(text[:-_LENGTH], surroundings)


def unsealed(text: bytes) -> bytes:
    """Return a document without the seal at its end, valid or not; the same object if there is none."""
    end = len(text.rstrip(_BLANKS))
    start = end - _LENGTH
    if start < 0 or not _SEAL.fullmatch(text, start, end):
        return text
    if all(begin != start for begin, _ in opaque_ranges(text)):
        return text  # a look-alike within an instruction of somebody else
    return text[:start] + text[end:]


def _seal(text: bytes, surroundings: bytes) -> bytes:
    from hashlib import sha256  # only watched copies need it

    digest = sha256(sha256(surroundings).digest() + text).hexdigest()
    return b"<?handframe copy %b?>" % digest.encode("ascii")
