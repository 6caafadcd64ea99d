"""Which parts of a score a check looks at: every part for a violin or viola.

The name of a part decides where it says anything. Where it does not ("Part 1", "Melody", none at all), the house's own
table of names, the instrument sound, the MIDI program, the clef and the compass settle it, in this order.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from fnmatch import fnmatchcase

from lxml.etree import _Element

from rules import INSTRUMENTS

from ...errors import said
from .part_list import PartListing, heights_of, list_parts

_STRINGS_OR_NOTHING = frozenset({"1", "49", "50", "51", "52"})
"""MIDI programs that say nothing: the piano, to which exporters default, and the string ensembles."""
_PROGRAMS = {"41": "violin", "42": "viola", "111": "violin"}
_CLEFS = {("G", "2"): "violin", ("C", "3"): "viola"}
_LETTERS_UP = 29
"""Letters above the lowest string up to which a part may go: four octaves, where solo parts end (common practice)."""
_OTHERS = re.compile(
    r"sopran|motet|tripl|quint[oa]|canto|cantus|contraten|discant|mezzo|\balt(?:o|us|us|ist)?\b|contralto|\bten(?:or|ore)?\b|barit|\bbass|basso|voice|voc"
    r"|choir|chor|coro|sing|gesang|stimme|solist|satb|flut|flaut|fl[öo]te|traver|piccolo|recorder|blockfl|obo|hautb|oboe"
    r"|english horn|corno|cor anglais|clarin|klarin|fagot|bassoon|horn\b|horns\b|cor\b|tromp|trump|tromba|trombe|cornet"
    r"|trombon|posaun|tuba|euphon|sax|piano|pianoforte|klavier|clavi|cembal|harpsi|organ|orgel|orgue|celest|accord|akkord"
    r"|harp|harfe|arpa|guitar|gitar|guitarra|lute|laute|liuto|theorbo|mandol|banjo|ukulele|cello|violonc|gamba|viol\b|viols\b"
    r"|violone|contrab|kontrab|double bass|continuo|timp|pauk|drum|tromm|percus|schlag|cymbal|triang|glock|xylo|marimba"
    r"|vibra|bell|tambour|gong|synth|tab\b",
    re.IGNORECASE,
)


def parts_for_check(root: _Element, names: Mapping[str, str]) -> tuple[PartListing, ...]:
    """Return the parts for violin or viola that have any note, each with its instrument.

    A part whose name names no instrument has a remark that says for which one it was taken.

    Args:
        root: the document.
        names: patterns of part names, and "violin", "viola" or "none"; the first that matches decides.
    """
    found: list[PartListing] = []
    for listing in list_parts(root):
        if listing.notes:
            found += _settled(root, listing, names)
    return tuple(found)


def _settled(root: _Element, listing: PartListing, names: Mapping[str, str]) -> Iterator[PartListing]:
    own = _by_table(listing, names)
    if own is not None:
        if own in INSTRUMENTS:
            yield replace(listing, instrument=own, why="policy")
        return
    if listing.instrument is not None:
        yield listing
        return
    if _OTHERS.search(listing.name) or (not listing.name and _OTHERS.search(listing.abbreviation)):
        return
    instrument, why = _by_evidence(root, listing.id)
    if instrument is not None:
        remark = said(
            "{part} is not named for an instrument; it was taken for a {instrument} part by its {why}",
            part=listing.called,
            instrument=said(instrument),
            why=why,
        )
        yield replace(listing, instrument=instrument, why=why, remark=remark)


def _by_table(listing: PartListing, names: Mapping[str, str]) -> str | None:
    known = [text.casefold() for text in (listing.name, listing.abbreviation, listing.id) if text]
    for pattern, instrument in names.items():
        if any(fnmatchcase(text, pattern.casefold()) for text in known):
            return instrument
    return None


def _by_evidence(root: _Element, id: str) -> tuple[str | None, str]:
    """The instrument and what tells it; None if anything speaks for another instrument, or for a voice."""
    listed = next((each for each in root.iterfind("part-list/score-part") if each.get("id") == id), None)
    part = next((each for each in root.iterchildren("part") if each.get("id") == id), None)
    if part is None or (listed is not None and _sounds_other(listed)) or _is_no_string_part(part):
        return None, ""
    clefs = {
        ((clef.findtext("sign") or "").strip(), (clef.findtext("line") or "2").strip()) for clef in part.iter("clef")
    }
    program = "" if listed is None else (listed.findtext("midi-instrument/midi-program") or "").strip()
    instrument = _PROGRAMS.get(program)
    why = said("MIDI program")
    if instrument is None:
        if program and program not in _STRINGS_OR_NOTHING:
            return None, ""
        told = {_CLEFS.get(clef, "") for clef in clefs} or {"violin"}
        instrument = "viola" if ("C", "3") in clefs and told <= {"violin", "viola"} else "violin"
        if "" in told:
            return None, ""
        why = said("clef and compass")
    return (instrument, why) if _lies_within(part, instrument) else (None, "")


def _sounds_other(listed: _Element) -> bool:
    sounds = [(sound.text or "").strip().lower() for sound in listed.iter("instrument-sound")]
    return any(not sound.startswith("strings.group") for sound in sounds if sound)


def _is_no_string_part(part: _Element) -> bool:
    """True if it is sung, drummed, plays on several staves or sounds elsewhere than written."""
    if next(part.iter("unpitched"), None) is not None or next(part.iter("lyric"), None) is not None:
        return True
    if any((staves.text or "1").strip() not in ("", "1") for staves in part.iter("staves")):
        return True
    moved = part.iter("chromatic", "octave-change", "clef-octave-change")
    return any((element.text or "").strip() not in ("0", "") for element in moved)


def _lies_within(part: _Element, instrument: str) -> bool:
    lowest = INSTRUMENTS[instrument].lowest.letter
    heights = heights_of(part)
    return bool(heights) and lowest <= min(heights) and max(heights) <= lowest + _LETTERS_UP
