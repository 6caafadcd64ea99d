"""Takes our marks out of a text again, without a trace; how they were written stands in `splice`.

A module of its own, since `clean` needs nothing of what writing needs.
"""

from __future__ import annotations

import base64
import binascii
import re

from ... import errors
from ..file.scan import end_of_opaque, next_of
from ..file.written import WRITTEN
from .seal import unsealed

BEGIN = b"<?handframe begin?>"
END = b"<?handframe end?>"
WAS = b"<?handframe was "
_ANY = b"<?handframe "
_REMOVABLE = re.compile(
    rb"<(?:fingering|string|open-string|technical|notations|direction|slide)(?=[ \t\r\n/>]).*>", re.DOTALL
)

_OURS = re.compile(rb"<\?handframe (?:begin\?>" + WRITTEN + re.escape(END) + rb"|was (?P<was>[A-Za-z0-9+/=]+)\?>)")
# Only a text made to annoy has marks within marks; more passes than this would let it take all day.
_PASSES = 16


def clean(text: bytes) -> bytes:
    """The text without our marks, and with what they replaced: byte for byte what it was before `insert`.

    A text without our marks comes back as the same object. Cleaning twice changes nothing more.
    """
    for _ in range(_PASSES):
        if _ANY not in text:
            break
        cleaned = _cut(unsealed(text))
        if len(cleaned) == len(text) and cleaned == text:
            break
        text = cleaned
    return text


def _cut(text: bytes) -> bytes:
    pieces: list[bytes] = []
    here = 0  # copied up to here
    open_from = 0  # nothing opaque that begins before this reaches beyond it
    bang = next_of(b"!", text, 0, len(text))
    for found in _OURS.finditer(text):
        start = found.start()
        if 0 <= bang < start or text.find(b"?", open_from, start) >= 0:
            open_from, bang = _past_opaque(text, open_from, start, bang)
        if open_from > start:
            continue  # a look-alike inside a comment or the like
        if found["was"] is None:
            pieces.append(text[here : _start_of_line_break(text, here, start)])
        else:
            pieces.append(text[here:start])
            pieces.append(_restored(found))
        here = open_from = found.end()
    pieces.append(text[here:])
    return b"".join(pieces)


def _past_opaque(text: bytes, offset: int, stop: int, bang: int) -> tuple[int, int]:
    """Skip every opaque range that begins from an offset up to `stop`; it may end beyond.

    `bang` is the next `<!` of the text if already known; it is handed back, so that no range is searched twice.
    """
    while offset <= stop:
        if 0 <= bang < offset:
            bang = next_of(b"!", text, offset, len(text))
        question = next_of(b"?", text, offset, stop)
        begin = question if question >= 0 and not 0 <= bang < question else bang
        if not 0 <= begin < stop:
            break
        offset = end_of_opaque(text, begin)
    return offset, bang


def _start_of_line_break(text: bytes, lower: int, offset: int) -> int:
    """Where the line break and indentation right before an offset begin; the offset itself if there is none."""
    place = offset
    while place > lower and text[place - 1] in b" \t":
        place -= 1
    if text.endswith(b"\r\n", lower, place):
        return place - 2
    return place - 1 if place > lower and text[place - 1] in b"\r\n" else offset


def _restored(found: re.Match[bytes]) -> bytes:
    """What was taken out, or the instruction itself if it is a look-alike."""
    coded = found["was"]
    try:
        removed = base64.b64decode(coded, validate=True)
    except binascii.Error:
        return found[0]
    ours = base64.b64encode(removed) == coded and _REMOVABLE.fullmatch(removed) is not None
    return removed if ours else found[0]


def guard(original: bytes, marked: bytes) -> None:
    """Refuses an answer that could not be undone.

    Raises:
        ScoreError: `marked` cleaned is not `original` cleaned (code `marks-not-removable`).
    """
    if clean(marked) != clean(original):
        raise errors.marks_not_removable()
