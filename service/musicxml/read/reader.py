"""One part of a document as a passage, and where each of its notes stands in the text."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from lxml.etree import _Element

from rules import INSTRUMENTS, VIOLIN, Instrument, Name, Passage, joined

from ... import errors
from ...errors import said
from ...naming import Language, note_word
from ..notation.directions import Kind
from ..notation.notes import WrittenNote
from ..notation.outdated import Outdated, find_outdated, without
from ..notation.part import WrittenPart
from ..notation.part_list import PartListing, count_notes, list_parts
from .context import read_context
from .events import EventMaker, make_measures, make_notes, make_words, quarters_of
from .expression import read_expression
from .jumps import find_jumps
from .metre import too_short
from .tempo import read_tempo
from .timeline import fold, group_events, join_ties, slurred_events
from .tuning import tuned_instrument

_STRINGS_AT_ONCE = 4
_BARS_NAMED = 8
_LOST_TIES = said("ties that lead to no note of the same pitch were left out; they may be misprints")


class NoteAnchor(NamedTuple):
    """Where a note stands: ordinals count every `<note>` of the document from 0.

    `before` is the note before which a direction has to stand: before its grace notes and its chord's first note.
    """

    note: int
    before: int
    staff: str | None
    voice: str
    lower_voice: bool


class NoteAnchors(Mapping[str, NoteAnchor]):
    """The places of notes by note id; made when asked for, since only few notes get a mark."""

    def __init__(self, written: Mapping[str, WrittenNote]) -> None:
        self._written = written

    def __getitem__(self, id: str) -> NoteAnchor:
        note = self._written[id]
        return NoteAnchor(note.ordinal, note.before, note.staff, note.voice, note.lower)

    def __iter__(self) -> Iterator[str]:
        return iter(self._written)

    def __len__(self) -> int:
        return len(self._written)


@dataclass(frozen=True)
class Reading:
    """A passage, and the place of each of its notes in the document, by note id.

    `outdated` is what the part prints but the passage was read without, since it is to be written anew.
    """

    passage: Passage
    places: Mapping[str, NoteAnchor]
    outdated: tuple[Outdated, ...] = ()


def _find_part(root: _Element, part_id: str) -> tuple[PartListing, _Element, int]:
    """Return the part's listing, its element, and how many notes stand before it in the document."""
    ordinal = 0
    listings = {listing.id: listing for listing in list_parts(root)}
    for part in root.iterchildren("part"):
        if part.get("id") == part_id and part_id in listings:
            return listings[part_id], part, ordinal
        ordinal += count_notes(part)
    raise errors.unknown_part(part_id, [str(listing) for listing in listings.values()])


def read_part(
    root: _Element,
    part_id: str,
    instrument: Instrument | None = None,
    *,
    tempo: float | None = None,
    replace: bool = False,
    text_of_note: Callable[[int], bytes] | None = None,
) -> Reading:
    """Read one part of the document `root` for `instrument`; None means the one it is marked for, or the violin.

    `tempo` is used, in quarter notes a minute, where the part prints no number. With `replace` the part is read as if
    it printed none of the words and lines that are to be written anew. `text_of_note` gives the text of each note of
    the document, by its ordinal: reading is quicker with it, and the same.

    Raises:
        ScoreError: if there is no such part, or something in it cannot be read; part, bar and line are named.
    """
    listing, part, first_ordinal = _find_part(root, part_id)
    outdated = find_outdated(root, part) if replace else ()
    if outdated:
        root, text_of_note = without(root, outdated), None
        listing, part, first_ordinal = _find_part(root, part_id)
    written = WrittenPart(part, str(listing), first_ordinal, text_of_note)
    instrument = instrument or INSTRUMENTS.get(listing.instrument or "", VIOLIN)
    instrument, remarks = tuned_instrument(part, written, instrument)
    tempo_map = read_tempo(root, part, written.measures, written.per_quarter, tempo)
    lost_ties = join_ties(written)
    folded = fold(written)
    groups = group_events(written)
    slurred, lost_slurs = slurred_events(written, groups)
    context = read_context(written.directions, groups, instrument)
    quarters = quarters_of(written.per_quarter)
    notes = make_notes(written, listing.id, quarters)
    events = EventMaker(written, tempo_map, quarters).make(
        groups, slurred, find_jumps(written.directions, groups), context
    )
    folded[said("slurs without an end were left out")] = lost_slurs
    folded[said("bars shorter than the metre were read as they stand; a rest may be missing")] = too_short(
        written.measures, {fact.measure for fact in written.directions if fact.kind is Kind.REPEAT_STOP}
    )
    if lost_ties:
        remarks.append(said("{what} ({bars})", what=_LOST_TIES, bars=_notes_by_bar(written, lost_ties)))
    remarks.extend(_repairs(written, folded))
    remarks.extend(_doubts(written, groups, divided=context.divided))
    passage = Passage(
        part=listing.id,
        name=listing.name,
        instrument=instrument,
        events=events,
        measures=make_measures(written, quarters),
        words=make_words(written, quarters),
        remarks=tuple(remarks),
        abbreviation=listing.abbreviation,
        quarter_tempo=tempo_map.first_tempo,
        metronome_marks=tempo_map.printed,
        tempo_is_given=tempo_map.given,
        expression=read_expression(written, quarters),
    )
    return Reading(passage, NoteAnchors(notes), outdated)


def _bars(labels: Iterable[str]) -> str:
    named = list(dict.fromkeys(labels))
    shown = ", ".join(named[:_BARS_NAMED])
    if len(named) > _BARS_NAMED:
        return said("bars {bars} and more", bars=shown)
    return said("bars {bars}", bars=shown) if len(named) > 1 else said("bar {bars}", bars=shown)


def _notes_by_bar(written: WrittenPart, notes: Sequence[WrittenNote]) -> str:
    """Return "bar 3: F, bar 7: C♯": each note once in its bar."""
    named = dict.fromkeys((written.measures[note.measure].label, note.pitch) for note in notes)
    names = {pitch: Name.for_thing(note_word(pitch, Language.BRITISH), pitch) for _, pitch in named}
    told = [said("bar {bar}: {note}", bar=bar, note=names[pitch]) for bar, pitch in named]
    shown = joined(told[:_BARS_NAMED], ", ")
    return shown if len(told) <= _BARS_NAMED else said("{notes} and more", notes=shown)


def _repairs(written: WrittenPart, found: Mapping[str, Sequence[int]]) -> Iterator[str]:
    """Yield what had to be repaired, left out or taken together, each with its bars."""
    repairs = dict(written.repairs)
    for what, measures in found.items():
        if measures:
            repairs[what] = [written.measures[measure].label for measure in measures]
    for what, labels in repairs.items():
        yield said("{what} ({bars})", what=what, bars=_bars(labels))


def _doubts(written: WrittenPart, groups: Sequence[Sequence[WrittenNote]], *, divided: bool) -> Iterator[str]:
    """Yield remarks on what one player may not be able to play as written."""
    if written.staves > 1 and not written.attributes.skipped_staves:
        yield said("the part has {n} staves; they were planned together under one hand", n=written.staves)
    crowded = [written.measures[group[0].measure].label for group in groups if len(group) > _STRINGS_AT_ONCE]
    if crowded:
        yield said(
            "more than {n} notes begin together, which no hand can hold ({bars})",
            n=_STRINGS_AT_ONCE,
            bars=_bars(crowded),
        )
    if divided:
        yield said("the part is divided (div.); all its voices were planned under one hand")
