"""ABC files: tunes with their numbers and titles, and the lines of a tune with their offsets.

By the ABC standard 2.1 (sections 2.2 and 3): a tune begins with `X:`, its header ends with `K:`, an empty line ends it;
what stands before the first tune holds for every tune.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from ....errors import ScoreError, said

_LINE = re.compile(r"([^\r\n]*)(?:\r\n|\r|\n|\Z)")
_FIELD = re.compile(r"([A-Za-z+]):(?![|:])[ \t]*")
_NUMBER = re.compile(r"X:\s*(\d+)")
_HEADER_FIELDS = frozenset("LMQKUI")


@dataclass(frozen=True, slots=True)
class Line:
    """One line: its number in the file from 1, its offset, its text, and the letter of its field or an empty text."""

    number: int
    start: int
    text: str
    field: str
    value: str


@dataclass(frozen=True)
class Tune:
    """One tune: its number, and its lines from `X:` on; those of the file's header come first."""

    number: str
    lines: tuple[Line, ...]

    @cached_property
    def title(self) -> str:
        """Return its first title, or an empty text."""
        return next((line.value for line in self.lines if line.field == "T"), "")


@dataclass(frozen=True)
class AbcFile:
    """A decoded file: every offset of a line counts in `text`."""

    text: str
    mark: str
    encoding: str
    tunes: tuple[Tune, ...]

    def encoded(self, text: str) -> bytes:
        """Return another text in the encoding of the file, with its byte order mark."""
        return (self.mark + text).encode(self.encoding)


@dataclass(frozen=True)
class AbcSource:
    """The ABC that a score came from.

    `places` has, for each note element of the MusicXML in order, the offsets in the file before its head and before all
    that belongs to it; None for what is no note there.
    """

    file: AbcFile
    tune: Tune
    places: tuple[tuple[int, int] | None, ...]


def read_abc(data: bytes) -> AbcFile:
    """Return the tunes of a file.

    Raises:
        ScoreError: `not-converted`, if there is no tune.
    """
    mark, encoding, text = _decoded(data)
    header: list[Line] = []
    tunes: list[list[Line]] = []
    inside = False
    for line in _lines(text):
        if line.field == "X":
            inside = True
            tunes.append([*header, line])
        elif inside and not line.text.strip():
            inside = False
        elif inside:
            tunes[-1].append(line)
        elif not tunes and line.field in _HEADER_FIELDS:
            header.append(line)
    named = tuple(Tune(_number(lines), tuple(lines)) for lines in tunes)
    if not named:
        raise no_abc(said("there is no tune in it: a tune begins with a line such as X:1"), None)
    return AbcFile(text, mark, encoding, named)


def no_abc(reason: str, line: int | None) -> ScoreError:
    """Return the error for a text that cannot be read as ABC."""
    return ScoreError(
        "not-converted",
        said("This ABC file could not be turned into MusicXML: {reason}.", reason=reason),
        said("Correct it, or export it as MusicXML (.musicxml) from the program it comes from."),
        None if line is None else said("line {line}", line=line),
        422,
    )


def _decoded(data: bytes) -> tuple[str, str, str]:
    """Byte order mark, encoding and text; a text that is no UTF-8 is taken for Latin-1, as the standard says."""
    try:
        text = data.decode("utf-8")
        return ("\ufeff", "utf-8", text[1:]) if text.startswith("\ufeff") else ("", "utf-8", text)
    except UnicodeDecodeError:
        return "", "latin-1", data.decode("latin-1")


def _lines(text: str) -> Iterator[Line]:
    for number, found in enumerate(_LINE.finditer(text), start=1):
        if found.start() == len(text) and found.start() == found.end() and number > 1:
            return
        content = found[1]
        field = _FIELD.match(content)
        value = content[field.end() :].split("%")[0].strip() if field else ""
        yield Line(number, found.start(), content, field[1] if field else "", value)


def _number(lines: list[Line]) -> str:
    found = next((match for line in lines if (match := _NUMBER.match(line.text))), None)
    return found[1] if found else ""
