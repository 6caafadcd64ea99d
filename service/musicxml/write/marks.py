"""From a plan to the marks that are spliced into the score: what is printed, where, in which words.

Marks that the part already prints are never doubled. What does not belong here: bytes (see `splice`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from rules import Advice, Fingers, Note, Plan, Technique, advice, position_words, shift_lines

from ...naming import Language, position_word
from ..file.elements import Kind, Mark, NoteMark, Removal, WordsMark
from ..read.reader import Place
from ..written.outdated import Outdated

_SLIDE_NUMBERS = 6


@dataclass(frozen=True, slots=True)
class Printing:
    """How marks are printed; see the options of the service for the meaning of each."""

    fingers: Fingers = Fingers.ESSENTIAL
    language: Language = Language.ENGLISH
    range_lines: bool = False
    shift_lines: bool = False
    replace: bool = False
    measures: tuple[int, int] | None = None
    """Indices of the first and last measure to mark, both included; None marks the whole part."""


def marks_for(
    plan: Plan, places: Mapping[str, Place], printing: Printing, outdated: Iterable[Outdated] = ()
) -> tuple[Mark, ...]:
    """Return every mark for one part; `outdated` is what it prints and the plan was made without."""
    found: list[Mark] = [removal for each in outdated if _whole_in_range(each, printing) for removal in each.removals]
    slides = _slides(plan) if printing.shift_lines else {}
    for item in advice(plan, printing.fingers):
        if item.finger is None and item.string is None and not slides and not printing.replace:
            continue
        if _in_range(plan, item.placed.event, printing):
            found.extend(_note_marks(item, places[item.placed.note.id], printing, slides))
    found.extend(_words(plan, places, printing))
    return tuple(found)


def _in_range(plan: Plan, event: int, printing: Printing) -> bool:
    if printing.measures is None:
        return True
    first, last = printing.measures
    return first <= plan.event(event).measure <= last


def _whole_in_range(outdated: Outdated, printing: Printing) -> bool:
    """A line that only begins or ends in the range stays: half of it would be neither old nor new."""
    if printing.measures is None:
        return True
    first, last = printing.measures
    return first <= outdated.first and outdated.last <= last


def _note_marks(
    item: Advice, place: Place, printing: Printing, slides: Mapping[str, tuple[tuple[str, int], ...]]
) -> Iterator[Mark]:
    note = item.placed.note
    finger, string = item.finger, item.string
    if printing.replace:
        kinds = _printed_kinds(note)
        if kinds:
            yield Removal(place.note, kinds)
    else:
        # What is printed stays, whether or not the plan agrees: two numbers on one note would only confuse.
        finger = None if note.printed.fingers else finger
        string = None if note.printed.strings or 0 in note.printed.fingers else string
    if finger == 0:
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


def _words(plan: Plan, places: Mapping[str, Place], printing: Printing) -> Iterator[Mark]:
    # The same words at the same moment are printed once, before whichever note they stand (a grace note, say).
    printed = {(words.onset, _plain(words.text)) for words in plan.passage.words}
    for word in position_words(plan):
        event = plan.event(word.event)
        text = position_word(word.position, printing.language)
        if not _in_range(plan, word.event, printing) or event.position == word.position:
            continue
        if (event.onset, _plain(text)) in printed:
            continue
        place = _first_place(event.notes, places)
        yield WordsMark(place.before, text, *_run(place))
        if printing.range_lines and word.position != 1 and word.until is not None:
            end = _first_place(plan.event(word.until).notes, places)
            yield WordsMark(place.before, "", *_run(place), bracket="start")
            yield WordsMark(end.before, "", *_run(end), bracket="stop")


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()


def _run(place: Place) -> tuple[int | None, str | None]:
    """Staff and voice of a direction, where the part has more than one."""
    staff = int(place.staff) if place.staff is not None and place.staff.isdigit() else None
    return staff, None if place.voice == "1" else place.voice


def _first_place(notes: Iterable[Note], places: Mapping[str, Place]) -> Place:
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
