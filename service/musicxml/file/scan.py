"""Where notes and other elements stand in the text: offsets found by one linear pass over the bytes.

The bytes are a well-formed document in an encoding that extends ASCII (`Document.working`). In such a text a `<` is
markup wherever it stands outside comments, CDATA sections, processing instructions and the document type: attribute
values cannot contain it. So tags are found by searching for their first bytes between those opaque ranges, and the
n-th `<note` found is the n-th `note` element of the parsed tree (checked against lxml over whole corpora).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence

BLANKS = b" \t\r\n"

_CLOSING = re.compile(rb"</note(?=[ \t\r\n>])")
# A tag runs to the first > outside quotes; possessive, so a text that never closes costs one pass and no more.
_REST_OF_TAG = re.compile(rb"(?:[^>\"']++|\"[^\"]*+\"|'[^']*+')*+>")
# The inside of a document type: quoted text, comments and instructions may hold any > or ], the rest may not.
_DOCTYPE_MARK = re.compile(rb"<!--|<\?|<!|[\[\]>\"']")
_ENDS = {b"<!--": b"-->", b"<?": b"?>", b'"': b'"', b"'": b"'"}


def opaque_ranges(text: bytes) -> Iterator[tuple[int, int]]:
    """Start and end offsets of every comment, CDATA section, processing instruction and document type, in order.

    Works on any bytes: what never ends reaches to the end of the text.
    """
    size = len(text)
    bang = next_of(b"!", text, 0, size)
    question = next_of(b"?", text, 0, size)
    while bang >= 0 or question >= 0:
        begin = question if bang < 0 or 0 <= question < bang else bang
        end = end_of_opaque(text, begin)
        yield begin, end
        if 0 <= bang < end:
            bang = next_of(b"!", text, end, size)
        if 0 <= question < end:
            question = next_of(b"?", text, end, size)


def end_of_opaque(text: bytes, begin: int) -> int:
    """The offset just behind the opaque range that begins with the `<!` or `<?` at an offset."""
    if text.startswith(b"<?", begin):
        return _behind(b"?>", text, begin + 2)
    if text.startswith(b"<!--", begin):
        return _behind(b"-->", text, begin + 4)
    if text.startswith(b"<![CDATA[", begin):
        return _behind(b"]]>", text, begin + 9)
    return _end_of_doctype(text, begin + 2)


def next_of(sign: bytes, text: bytes, start: int, stop: int) -> int:
    """The offset of the next `<` followed by this sign, or -1: one rare byte is found much faster than two."""
    found = text.find(sign, start + 1, stop)
    while found >= 0 and text[found - 1] != 0x3C:
        found = text.find(sign, found + 1, stop)
    return found - 1 if found >= 0 else -1


def _behind(ending: bytes, text: bytes, start: int) -> int:
    found = text.find(ending, start)
    return len(text) if found < 0 else found + len(ending)


def _end_of_doctype(text: bytes, offset: int) -> int:
    inside = 0  # brackets and nested declarations still open
    while True:
        found = _DOCTYPE_MARK.search(text, offset)
        if found is None:
            return len(text)
        offset = found.end()
        mark = found.group()
        if mark in _ENDS:
            end = text.find(_ENDS[mark], offset)
            if end < 0:
                return len(text)
            offset = end + len(_ENDS[mark])
        elif mark in (b"[", b"<!"):
            inside += 1
        elif mark == b"]":
            inside -= 1
        elif inside <= 0:
            return offset
        else:
            inside -= 1


def find_notes(text: bytes) -> list[int]:
    """The offset of every `<note`, in document order, all parts together."""
    return find_elements(text, "note")


def find_elements(text: bytes, name: str) -> list[int]:
    """The offset of every start tag or empty tag of this name, in document order."""
    opening = re.compile(rb"<%b(?=[ \t\r\n/>])" % name.encode("ascii"))
    offsets: list[int] = []
    here = 0
    for begin, end in opaque_ranges(text):
        offsets += [found.start() for found in opening.finditer(text, here, begin)]
        here = end
    offsets += [found.start() for found in opening.finditer(text, here)]
    return offsets


def texts_of_notes(text: bytes, notes: Sequence[int]) -> Callable[[int], bytes]:
    """Return what gives the text of one of the notes found by `find_notes`: equal texts stand for equal notes.

    It reaches from the first `>` to `</note`, for what the start tag says is where the note stands on the page; from
    `<note` if it says that the note is not printed; up to the next note where an opaque range or an unusual end tag
    stands in it.
    """
    starts = [*notes, len(text)]

    def text_of(index: int) -> bytes:
        start, stop = starts[index], starts[index + 1]
        begin, end = text.find(b">", start, stop), text.find(b"</note>", start, stop)
        if begin > start + len(b"<note") and b"print-object" in text[start:begin]:
            begin = start
        span = text[begin : stop if end < 0 else end]
        return text[start:stop] if b"<!" in span or b"<?" in span else span

    return text_of


def inside_of_note(text: bytes, notes: Sequence[int], index: int) -> bytes:
    """One of the notes found by `find_notes`, from its `<note` up to its `</note`, opaque ranges veiled.

    Raises:
        ValueError: the note is an empty tag, or another note stands inside it.
    """
    start = notes[index]
    stop = notes[index + 1] if index + 1 < len(notes) else len(text)
    span = veiled(text, start, stop)
    closing = span.find(b"</note>")
    if closing < 0:
        odd = _CLOSING.search(span)
        if odd is None:
            raise ValueError(f"note {index} of the document, at byte {start}, has no content of its own")
        closing = odd.start()
    return span[:closing]


def end_of_element(text: bytes, starts: Sequence[int], index: int, name: str) -> int:
    """The offset just behind one of the elements found by `find_elements`, its end tag included.

    Raises:
        ValueError: another element of this name stands inside it.
    """
    inside = end_of_tag(text, starts[index])
    if text.startswith(b"/", inside - 2):
        return inside
    stop = starts[index + 1] if index + 1 < len(starts) else len(text)
    closing = re.search(rb"</%b[ \t\r\n]*+>" % name.encode("ascii"), veiled(text, inside, stop))
    if closing is None:
        raise ValueError(f"{name} {index} of the document, at byte {starts[index]}, holds another of its kind")
    return inside + closing.end()


def end_of_tag(text: bytes, offset: int) -> int:
    """The offset just behind the tag that begins at `offset`; `>` inside quoted values does not end it."""
    rest = _REST_OF_TAG.match(text, offset)
    if rest is None:
        raise ValueError(f"a tag that never ends at byte {offset}")
    return rest.end()


def veiled(text: bytes, start: int, stop: int) -> bytes:
    """The range from `start` to `stop` with everything opaque overwritten by as many `x`: same offsets, tags only.

    `start` must not lie within something opaque.
    """
    span = text[start:stop]
    if b"!" not in span and b"?" not in span:
        return span
    pieces: list[bytes] = []
    here = 0
    for begin, end in opaque_ranges(span):
        pieces.append(span[here:begin])
        pieces.append(b"x" * (end - begin))
        here = end
    pieces.append(span[here:])
    return b"".join(pieces)
