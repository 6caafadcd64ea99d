"""Which part of a score is for the violin or viola.

The name decides, the MIDI program hardly ever: exporters leave it at its default or borrow another instrument's.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import islice
from typing import cast

from lxml.etree import XPath, _Element

from rules import LETTERS

from ... import errors
from ...errors import said
from .instrument_names import named_instrument, names_another

_PROGRAMS = {"41": "violin", "42": "viola"}
_FRENCH_VIOLA = re.compile(r"altos?(?:\s*(?:\d|I{1,2}))?", re.IGNORECASE)
_COMPASS = {"violin": (25, 29), "viola": (21, 25)}
"""Lowest note, and least middle note, in steps from C0: G3 and D4 for the violin, C3 and G3 for the viola."""
_NOTES = XPath("count(measure/note)")
_SEEN_NOTES = 400
"""How many notes of a part are looked at to judge its range."""


@dataclass(frozen=True, slots=True)
class PartListing:
    """One part of the score: its id and name, the instrument it seems to be for (or None), why, and its notes.

    `notes` counts every note and rest element. `remark` says what is doubtful about the choice, or is empty. `number`
    counts the parts of the score from 1, up to `of`.
    """

    id: str
    name: str
    abbreviation: str
    instrument: str | None
    why: str
    notes: int
    remark: str = ""
    number: int = 1
    of: int = 1

    def __str__(self) -> str:
        return f"{self.id} ({self.name})" if self.name else self.id

    @property
    def called(self) -> str:
        """How a player is told of the part: by its name, or else by its number; ids are for programs."""
        if self.name:
            return said("the part {name}", name=self.name)
        return said("part {number} of {count}", number=self.number, count=self.of) if self.of > 1 else said("the part")


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
    return None, "other name" if any(map(names_another, (name, shown, instrument_name, abbreviation))) else ""


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
    every = _with_french_violas((*listings, *unlisted))
    return tuple(replace(each, number=number, of=len(every)) for number, each in enumerate(every, start=1))


def heights_of(part: _Element) -> list[int]:
    """Return how high the first notes of a part are written, in steps from C0."""
    heights = []
    for pitch in islice(part.iter("pitch"), _SEEN_NOTES):
        step, octave = (pitch.findtext("step") or "").strip(), (pitch.findtext("octave") or "").strip()
        if len(step) == 1 and step in LETTERS and octave.isdecimal() and len(octave) < 3:
            heights.append(LETTERS.index(step) + len(LETTERS) * int(octave))
    return heights


def _with_french_violas(listings: tuple[PartListing, ...]) -> tuple[PartListing, ...]:
    """An "Alto" beside strings is a viola, as French scores call it; beside a soprano it is a voice."""
    names = [listing.name.casefold() for listing in listings]
    if not any(name.startswith("violon") for name in names) or any(name.startswith("sopran") for name in names):
        return listings
    return tuple(
        replace(each, instrument="viola", why="part-name") if _FRENCH_VIOLA.fullmatch(each.name.strip()) else each
        for each in listings
    )


def _could_be(root: _Element, listing: PartListing, instrument: str) -> bool:
    """Whether a part whose name tells nothing could be for the instrument: its clef, its compass, no percussion.

    Common practice: a violin part is written in the treble clef and reaches down to G3; a viola part begins in the alto
    clef and reaches down to C3.
    """
    part = next((part for part in root.iterchildren("part") if part.get("id") == listing.id), None)
    if listing.instrument or listing.why or part is None or next(part.iter("unpitched"), None) is not None:
        return False
    clef = next((sign.text for sign in part.iterfind("measure/attributes/clef/sign")), None)
    if clef not in ((None, "G") if instrument == "violin" else ("C",)):
        return False
    heights = heights_of(part)
    lowest, middle = _COMPASS[instrument]
    return bool(heights) and min(heights) >= lowest and sorted(heights)[len(heights) // 2] >= middle


def _wanted(listings: Sequence[PartListing], wanted: str) -> list[PartListing]:
    plain = " ".join(wanted.split()).casefold()
    by_id = [listing for listing in listings if listing.id == wanted.strip()]
    return by_id or [
        listing for listing in listings if plain and plain in (listing.name.casefold(), listing.abbreviation.casefold())
    ]


def _remarked(listing: PartListing, instrument: str) -> PartListing:
    """The part; with a remark if its name says that it is for another instrument than the one that is planned for."""
    if listing.instrument in (None, instrument):
        return listing
    remark = said(
        "{part} is for the {other} by its name, and is planned here for the {instrument}; "
        "choose the instrument if that is not meant",
        part=listing.called,
        other=said(str(listing.instrument)),
        instrument=said(instrument),
    )
    return replace(listing, remark=remark)


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
            chosen.update((listing.id, _remarked(listing, instrument)) for listing in found)
        return tuple(chosen.values())
    marked = tuple(listing for listing in listings if listing.instrument == instrument)
    with_music = tuple(listing for listing in marked if listing.notes)
    if with_music or marked:
        return with_music or marked
    possible = [listing for listing in listings if listing.notes and _could_be(root, listing, instrument)]
    if len(possible) == 1:
        only = possible[0]
        because = said("because of its clef and range")
        if len(listings) > 1:
            because = said("because no other part can be one")
        remark = said(
            "{part} is not marked as a {instrument} part; it was read as one {because}",
            part=only.called,
            instrument=said(instrument),
            because=because,
        )
        return (replace(only, instrument=instrument, why="range", remark=remark),)
    if possible:
        raise errors.unsure_part(instrument, shown)
    others = [listing for listing in listings if listing.instrument and listing.instrument != instrument]
    raise errors.no_part(instrument, shown, others[0].instrument if others else None)
