"""Which part of a score is for the violin or viola.

The name decides, the MIDI program hardly ever: exporters leave it at its default or borrow another instrument's.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice
from typing import cast

from lxml.etree import XPath, _Element

from ... import errors

_END = r"(?:$|(?=[\s\d.,:;()/\[\]&+\-]|[IV]+\b))"
_VIOLIN = re.compile(
    r"\b(?:violin(?:e|en|o|i|a|y|s)?|viloin|violín|violín|violon(?:s)?|vlns?|vl|vn|vns|viool|violer|geigen?|fiddle|fiolin(?:er)?"
    r"|fiol|viulu|hegedű|skrzypce|housle|husle|keman|violins|violini|violinen)"
    + _END
    + r"|скрипк|バイオリン|ヴァイオリン|小提琴|바이올린",
    re.IGNORECASE,
)
_NO_VIOLIN = re.compile(r"violonc|violonch|cello|violone|gamba|amore|piccolo|contrabass|double bass", re.IGNORECASE)
_VIOLA = re.compile(
    r"\b(?:viola(?:s)?|viole|violas|violen|bratschen?|alto(?:s)?\s*(?:\(?violas?\)?)|altviool|altfiol|bratsj|alttoviulu|brácsa|altówka"
    r"|viola\s*\d|vla|vlas|vle|va|br)" + _END + r"|альт|ヴィオラ|ビオラ|中提琴|비올라",
    re.IGNORECASE,
)
_NO_VIOLA = re.compile(r"gamba|amore|pomposa|bastarda|caipira|violin|violon|saxo|clar|voice|flute", re.IGNORECASE)
_SHORT_VIOLIN = re.compile(r"^V\.?\s*(?:\d|I{1,2}\b)", re.IGNORECASE)
_PROGRAMS = {"41": "violin", "42": "viola"}
_NOTES = XPath("count(measure/note)")
_SEEN_NOTES = 400
"""How many notes of a part are looked at to judge its range."""


@dataclass(frozen=True, slots=True)
class PartListing:
    """One part of the score: its id and name, the instrument it seems to be for (or None), why, and its notes.

    `notes` counts every note and rest element. `remark` says what is doubtful about the choice, or is empty.
    """

    id: str
    name: str
    abbreviation: str
    instrument: str | None
    why: str
    notes: int
    remark: str = ""

    def __str__(self) -> str:
        return f"{self.id} ({self.name})" if self.name else self.id


def named_instrument(name: str) -> str | None:
    """Return "violin" or "viola" if `name` says so in one of the languages known, else None."""
    if _VIOLA.search(name) and not _NO_VIOLA.search(name):
        return "viola"
    if (_VIOLIN.search(name) and not _NO_VIOLIN.search(name)) or _SHORT_VIOLIN.match(name.strip()):
        return "violin"
    return None


def count_notes(part: _Element) -> int:
    """Return how many note elements a part has, rests among them."""
    return int(cast(float, _NOTES(part)))


def _text(element: _Element, path: str) -> str:
    found = element.find(path)
    return "" if found is None else " ".join("".join(str(text) for text in found.itertext()).split())


def _sound(element: _Element) -> str | None:
    for sound in element.iter("instrument-sound"):
        text = (sound.text or "").strip().lower()
        if text.startswith(("strings.violin", "strings.fiddle", "strings.stroh-violin")):
            return None if text.startswith("strings.violin-piccolo") else "violin"
        if text == "strings.viola" or text.startswith("strings.viola."):
            return "viola"
    return None


def _guess(element: _Element, name: str, abbreviation: str) -> tuple[str | None, str]:
    """Return the instrument and the reason: sound, name, instrument name, abbreviation, MIDI program, in this order."""
    sound = _sound(element)
    if sound:
        return sound, "instrument-sound"
    shown = _text(element, "part-name-display")
    instrument_name = _text(element, "score-instrument/instrument-name")
    for text, why in ((name, "part-name"), (shown, "part-name-display"), (instrument_name, "instrument-name")):
        if text and (found := named_instrument(text)):
            return found, why
    if abbreviation and not name and (found := named_instrument(abbreviation)):
        return found, "part-abbreviation"
    program = _text(element, "midi-instrument/midi-program")
    if program in _PROGRAMS and not (name or shown or instrument_name or abbreviation):
        return _PROGRAMS[program], "midi-program"
    return None, ""


def _listing(element: _Element, part: _Element | None) -> PartListing:
    name, abbreviation = _text(element, "part-name"), _text(element, "part-abbreviation")
    instrument, why = _guess(element, name, abbreviation)
    notes = 0 if part is None else count_notes(part)
    return PartListing(element.get("id") or "", name, abbreviation, instrument, why, notes)


def list_parts(root: _Element) -> tuple[PartListing, ...]:
    """Return the parts of the score in the order of its part list; parts that are not listed come last."""
    parts = {part.get("id") or "": part for part in root.iterchildren("part")}
    part_list = root.find("part-list")
    listings = (
        []
        if part_list is None
        else [
            _listing(element, parts.pop(element.get("id") or "", None))
            for element in part_list.iterchildren("score-part")
        ]
    )
    unlisted = (PartListing(id, "", "", None, "", count_notes(part)) for id, part in parts.items())
    return (*listings, *unlisted)


def _is_treble(root: _Element, id: str) -> bool:
    """Whether a part could be a violin part: no note below G3, most above D4, one staff, no percussion."""
    part = next((part for part in root.iterchildren("part") if part.get("id") == id), None)
    if part is None or next(part.iter("unpitched"), None) is not None:
        return False
    heights = []
    for pitch in islice(part.iter("pitch"), _SEEN_NOTES):
        step, octave = (pitch.findtext("step") or "").strip(), (pitch.findtext("octave") or "").strip()
        if len(step) == 1 and step in "CDEFGAB" and octave.isdecimal() and len(octave) < 3:
            heights.append("CDEFGAB".index(step) + 7 * int(octave))
    return bool(heights) and min(heights) >= 25 and sorted(heights)[len(heights) // 2] >= 29


def _wanted(listings: Sequence[PartListing], wanted: str) -> list[PartListing]:
    plain = " ".join(wanted.split()).casefold()
    by_id = [listing for listing in listings if listing.id == wanted.strip()]
    return by_id or [
        listing for listing in listings if plain and plain in (listing.name.casefold(), listing.abbreviation.casefold())
    ]


def choose_parts(root: _Element, instrument: str, wanted: Sequence[str] = ()) -> tuple[PartListing, ...]:
    """Return the parts to plan: those named by id or name in `wanted`, else all for `instrument` ("violin", "viola").

    Raises:
        ScoreError: if a wanted part is not there, or none is marked for the instrument; the parts are listed.
    """
    listings = list_parts(root)
    shown = [str(listing) for listing in listings]
    if wanted:
        chosen: dict[str, PartListing] = {}
        for text in wanted:
            found = _wanted(listings, text)
            if not found:
                raise errors.unknown_part(text, shown)
            chosen.update((listing.id, listing) for listing in found)
        return tuple(chosen.values())
    marked = tuple(listing for listing in listings if listing.instrument == instrument)
    with_music = tuple(listing for listing in marked if listing.notes)
    if with_music or marked:
        return with_music or marked
    unknown = [listing for listing in listings if listing.notes and not listing.instrument]
    if instrument == "violin" and len(listings) == 1 and len(unknown) == 1 and _is_treble(root, unknown[0].id):
        only = unknown[0]
        remark = f"part {only} is not marked as a {instrument} part; it was taken for one because of its range"
        return (PartListing(only.id, only.name, only.abbreviation, instrument, "range", only.notes, remark),)
    possible = list(islice((listing for listing in unknown if _is_treble(root, listing.id)), 2))
    raise errors.unsure_part(instrument, shown) if len(possible) > 1 else errors.no_part(instrument, shown)
