"""Turns a plan into marks at places in the score: what is printed, where, in which words.

Marks that the part already prints are never doubled.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from rules import (
    HOME_POSITION,
    Fingers,
    Note,
    Plan,
    PositionWord,
    PrintedNote,
    PrintedPlan,
    PrintingMemory,
    Technique,
    printed_plan,
    shift_lines,
)

from ...naming import Language, StringMarks, position_word, string_numeral
from ..file.elements import Kind, Mark, NoteMark, Removal, WordsMark
from ..notation.outdated import Outdated
from ..read.reader import NoteAnchor

_SLIDE_NUMBERS = 6


@dataclass(frozen=True, slots=True)
class Printing:
    """How marks are printed; see the options of the service for the meaning of each."""

    fingers: Fingers = Fingers.ESSENTIAL
    language: Language = Language.BRITISH
    range_lines: bool = False
    shift_lines: bool = False
    strings: StringMarks = StringMarks.WORDS
    replace: bool = False
    measures: tuple[int, int] | None = None
    """Indices of the first and last measure to mark, both included; None marks the whole part."""


def marks_for(
    plan: Plan,
    places: Mapping[str, NoteAnchor],
    printing: Printing,
    outdated: Iterable[Outdated] = (),
    memory: PrintingMemory | None = None,
) -> tuple[Mark, ...]:
    """Return every mark for one part.

    `outdated` is what it prints and the plan was made without; `memory` how plans of it were printed before.
    """
    found: list[Mark] = [removal for each in outdated if _whole_in_range(each, printing) for removal in each.removals]
    slides = _slides(plan) if printing.shift_lines else {}
    printed = printed_plan(
        plan, printing.fingers, beside_print=not printing.replace, measures=printing.measures, memory=memory
    )
    strings: dict[int, int] = {}
    for item in printed.notes:
        if item.finger is None and item.string is None and not slides and not printing.replace:
            continue
        if _in_range(plan, item.fingered.event, printing):
            if item.string is not None and _as_words(plan, item, printing):
                strings[item.fingered.event] = item.string
            found.extend(_note_marks(plan, item, places[item.fingered.note.id], printing, slides))
    if printing.replace:
        for left in plan.unheld:
            kinds = _printed_kinds(left.note)
            if kinds and _in_range(plan, left.event, printing):
                found.append(Removal(places[left.note.id].note, kinds))
    found.extend(_words(plan, printed, strings, places, printing))
    return tuple(found)


def _as_words(plan: Plan, item: PrintedNote, printing: Printing) -> bool:
    """Whether a string is written in words. On a chord nobody could tell which note they belong to."""
    return printing.strings is not StringMarks.ELEMENTS and len(plan.event(item.fingered.event).notes) == 1


def _in_range(plan: Plan, event: int, printing: Printing) -> bool:
    if printing.measures is None:
        return True
    first, last = printing.measures
    return first <= plan.event(event).measure <= last


def _whole_in_range(outdated: Outdated, printing: Printing) -> bool:
    """Whether a line lies wholly in the range; one that only begins or ends there stays."""
    if printing.measures is None:
        return True
    first, last = printing.measures
    return first <= outdated.first and outdated.last <= last


def _note_marks(
    plan: Plan,
    item: PrintedNote,
    place: NoteAnchor,
    printing: Printing,
    slides: Mapping[str, tuple[tuple[str, int], ...]],
) -> Iterator[Mark]:
    note = item.fingered.note
    finger, string = item.finger, item.string
    if printing.replace:
        kinds = _printed_kinds(note)
        if kinds:
            yield Removal(place.note, kinds)
    else:
        # What is printed stays, whether or not the plan agrees: two numbers on one note would only confuse.
        finger = None if note.printed.fingers else finger
        string = None if note.printed.strings or 0 in note.printed.fingers else string
    if finger == 0 or (printing.strings is StringMarks.WORDS and _as_words(plan, item, printing)):
        string = None
    ends = slides.get(note.id, ())
    if finger is not None or string is not None or ends:
        placement = "below" if place.lower_voice else None
        yield NoteMark(place.note, finger=finger, string=string, placement=placement, slides=ends)  # type: ignore[arg-type]


def _printed_kinds(note: Note) -> frozenset[Kind]:
    kinds: set[Kind] = set()
    if note.printed.fingers:
        kinds |= {"fingering", "open-string"}
    if note.printed.strings:
        kinds.add("string")
    return frozenset(kinds)


def _words(
    plan: Plan, printed: PrintedPlan, strings: Mapping[int, int], places: Mapping[str, NoteAnchor], printing: Printing
) -> Iterator[Mark]:
    """Positions, and strings where they are written as words."""
    # The same words at the same moment are printed once, before whichever note they stand (a grace note, say).
    already = {(each.onset, _plain(each.text)) for each in plan.passage.words}
    positions = {word.event: word for word in printed.words}
    for index in sorted({*positions, *strings}):
        word, onset = positions.get(index), plan.event(index).onset
        # Programs stack words outwards in this order: the string stays next to its note.
        texts = [string_numeral(strings[index])] if index in strings else []
        texts += [position_word(word.position, printing.language)] if word else []
        place = _first_place(plan.event(index).notes, places)
        before = _before(plan, index, place)
        for text in texts:
            if (onset, _plain(text)) not in already:
                yield WordsMark(before, text, *_run(place))
        if printing.range_lines and word and word.position != HOME_POSITION:
            yield from _line(plan, word, before, places)


def _line(plan: Plan, word: PositionWord, before: int, places: Mapping[str, NoteAnchor]) -> Iterator[Mark]:
    """A dashed line as far as the position holds; at the end of the part it ends with the last note."""
    start = _first_place(plan.event(word.event).notes, places)
    last = len(plan.passage.events) - 1 if word.until is None else word.until
    if last > word.event:
        end = _first_place(plan.event(last).notes, places)
        yield WordsMark(before, "", *_run(start), bracket="start")
        yield WordsMark(end.before, "", *_run(end), bracket="stop")


def _before(plan: Plan, index: int, place: NoteAnchor) -> int:
    """The note before which words stand: ahead of grace notes, unless they would hold for a grace note as well."""
    return place.note if plan.passage.led_by_grace(index) else place.before


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()


def _run(place: NoteAnchor) -> tuple[int | None, str | None]:
    """Staff and voice of a direction, where the part has more than one."""
    staff = int(place.staff) if place.staff is not None and place.staff.isdigit() else None
    return staff, None if place.voice == "1" else place.voice


def _first_place(notes: Iterable[Note], places: Mapping[str, NoteAnchor]) -> NoteAnchor:
    """The place of the note that stands first in the document: words go before it."""
    return min((places[note.id] for note in notes), key=lambda place: place.before)


def _slides(plan: Plan) -> dict[str, tuple[tuple[str, int], ...]]:
    """Ends of the slanted line for each note; numbers take turns so that lines that meet stay apart."""
    found: dict[str, tuple[tuple[str, int], ...]] = {}
    for index, (left, reached) in enumerate(shift_lines(plan)):
        if Technique.GLISSANDO in left.note.techniques & reached.note.techniques:
            continue  # a line is printed already
        number = index % _SLIDE_NUMBERS + 1
        found[left.note.id] = (*found.get(left.note.id, ()), ("start", number))
        found[reached.note.id] = (*found.get(reached.note.id, ()), ("stop", number))
    return found
