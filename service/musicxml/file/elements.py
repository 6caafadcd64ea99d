"""The elements that we write into a score, as values and as bytes; `written` recognises them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

Placement = Literal["above", "below"]
Edge = Literal["start", "stop"]
Kind = Literal["fingering", "string", "open-string"]
Removable = Literal["direction", "slide"]


@dataclass(frozen=True, slots=True)
class NoteMark:
    """What to write on one note. `note` counts every note element of the document from 0.

    `finger` 0 is the open string as a digit, `open_string` the small circle; `string` counts from 1, the highest.
    `slides` are ends of slanted lines, each with its number (1 to 16).
    """

    note: int
    finger: int | None = None
    string: int | None = None
    open_string: bool = False
    placement: Placement | None = None
    slides: tuple[tuple[Edge, int], ...] = ()
    natural_harmonic: bool = False


@dataclass(frozen=True, slots=True)
class WordsMark:
    """Words above the staff right before a note, or one end of a dashed bracket there (then `text` is empty).

    `text` holds letters, digits, blanks, full stops and commas only: some programs choke on anything else.
    """

    note: int
    text: str = ""
    staff: int | None = None
    voice: str | None = None
    bracket: Edge | None = None


@dataclass(frozen=True, slots=True)
class Removal:
    """Takes the printed elements of these kinds off one note; `clean` puts them back."""

    note: int
    kinds: frozenset[Kind]


@dataclass(frozen=True, slots=True)
class ElementRemoval:
    """Takes one element out; `ordinal` counts every element of this name in the document from 0."""

    name: Removable
    ordinal: int


Mark = NoteMark | WordsMark | Removal | ElementRemoval

_WORDS = re.compile(r"(?:[^\W_]|[ .,])*")


def _escape(text: str) -> str:
    """Write a text as character data (the library's own escaping brings a whole web client along)."""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def technical_children(mark: NoteMark) -> bytes:
    """What stands inside `<technical>`; empty if the mark wants nothing there."""
    return _technical(mark.finger, mark.string, mark.open_string, mark.placement, mark.natural_harmonic)


@lru_cache(maxsize=1024)
def _technical(
    finger: int | None, string: int | None, open_string: bool, placement: Placement | None, natural_harmonic: bool
) -> bytes:
    placed = f' placement="{placement}"' if placement else ""
    written = ""
    if finger is not None:
        if not 0 <= finger <= 9:
            raise ValueError(f"a finger is one digit, not {finger}")
        written += f"<fingering{placed}>{finger}</fingering>"
    if string is not None:
        if string < 1:
            raise ValueError(f"strings count from 1, not {string}")
        written += f"<string{placed}>{string}</string>"
    if open_string:
        written += f"<open-string{placed}/>"
    if natural_harmonic:
        written += f"<harmonic{placed}><natural/></harmonic>"
    return written.encode("ascii")


def slides(mark: NoteMark) -> bytes:
    """The ends of slanted lines, which stand beside `<technical>`."""
    if not mark.slides:
        return b""
    return b"".join(
        f'<slide type="{edge}" number="{number}" line-type="solid"/>'.encode("ascii") for edge, number in mark.slides
    )


def direction(mark: WordsMark) -> bytes:
    """The whole `<direction>`, ASCII only (other letters as character references), so it fits any encoding."""
    return _direction(mark.text, mark.staff, mark.voice, mark.bracket)


@lru_cache(maxsize=1024)
def _direction(text: str, staff: int | None, voice: str | None, bracket: Edge | None) -> bytes:
    if bool(text.strip()) == bool(bracket):
        raise ValueError("words or one end of a bracket: exactly one of them in a direction")
    if not _WORDS.fullmatch(text):
        raise ValueError(f"words may hold letters, digits, blanks, full stops and commas only, not {text!r}")
    kind = f"<words>{text}</words>"
    if bracket:
        line_end = "none" if bracket == "start" else "down"
        kind = f'<bracket type="{bracket}" number="1" line-end="{line_end}" line-type="dashed"/>'
    in_voice = f"<voice>{_escape(voice)}</voice>" if voice else ""
    on_staff = f"<staff>{staff}</staff>" if staff else ""
    written = f'<direction placement="above"><direction-type>{kind}</direction-type>{in_voice}{on_staff}</direction>'
    return written.encode("ascii", "xmlcharrefreplace")
