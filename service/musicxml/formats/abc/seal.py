"""A seal on an ABC file that we wrote: it shows that nobody has changed the file since.

    % handframe copy …    the last line; holds the SHA-256 of everything before it

ABC ignores the line, since it is a comment (the ABC standard 2.1, 2.2.3). It ends with a line break if the file did.
"""

from __future__ import annotations

import re
from hashlib import sha256

_SEAL = re.compile(rb"(\r\n|\r|\n)?% handframe copy ([0-9a-f]{64})(\r\n|\r|\n)?\Z")
_BREAK = re.compile(rb"\r\n|\r|\n")


def sealed(data: bytes) -> bytes:
    """Return a file with a seal as its last line, in place of an old one."""
    text = unsealed(data)
    found = _BREAK.search(text)
    line_break = found[0] if found else b"\n"
    seal = b"% handframe copy " + _digest(text)
    return text + seal + line_break if text.endswith((b"\n", b"\r")) else text + line_break + seal


def seal_is_intact(data: bytes) -> bool:
    """Whether a file ends in a valid seal."""
    found = _SEAL.search(data)
    return found is not None and data == sealed(data) and found[2] == _digest(unsealed(data))


def unsealed(data: bytes) -> bytes:
    """Return a file without the seal at its end, valid or not."""
    found = _SEAL.search(data)
    if found is None:
        return data
    return data[: found.end(1) if found[3] and found[1] else found.start()]


def _digest(text: bytes) -> bytes:
    return sha256(text).hexdigest().encode()


__all__ = ["seal_is_intact", "sealed", "unsealed"]
