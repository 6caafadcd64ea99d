"""The card: one page for the stand, with the shifts of a piece that occur most often, four lines each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import ceil

from ...plan.plan import Plan, Shift
from ...plan.printing import Fingers
from ...text import capitalized, english, joined
from ..drills.light_drills import without_bow
from ..drills.passage_drills import grown, in_context
from ..drills.rhythm_drills import in_rhythms
from ..drills.shift_drills import check_with_open_string, hand_alone, over_open_string, with_guide
from ..sheet import CAUTIONS, Exercise, Section, Sheet, SheetForm, numbered
from .demands import Demands, demands_of
from .excursion_groups import measures_of, sounding
from .full_sheet import as_printed, asked_lines, remarks_of, warm_up
from .shift_sections import fingers_line, shift_line
from .tasks import Task, chosen_excursions, tasks

SHIFTS = 3
"""Most shifts on a card (common practice: what fits into five minutes a day)."""
BARS = 4
"""Bars of the piece around a shift."""
GROWTH = (1, 2)
"""Notes on each side of the shift."""
SYSTEMS = 8
"""Lines of music that fit on the page."""
_FULL_LINE, _HALF_LINE, _WORD = 46.0, 24.0, 3.0
"""What fits on a line, and on half of one, and what a position word takes: a note counts 1, a bar line 1.5."""


def practice_card(
    plan: Plan, title: str, chosen: Iterable[int] | None = None, fingers: Fingers = Fingers.ESSENTIAL
) -> Sheet:
    """Return the card for a plan, or for chosen excursions of it.

    Args:
        plan: what is to be learned.
        title: of the piece.
        chosen: numbers (from 0) of the excursions to practise; None for all.
        fingers: which digits are printed in the piece; in drills they all are.

    Raises:
        IndexError: if there is no excursion of that number.
    """
    demands = demands_of(plan)
    plan = demands.plan
    excursions = chosen_excursions(plan, chosen)
    every = tasks(plan, chosen)
    found = _that_fit(demands, every, fingers)
    printed = [_around(plan, task.shifts[0]) for task in found]
    sections = [_section(demands, task, bars, fingers) for task, bars in zip(found, printed, strict=True)]
    left_out = tuple(task for task in every if task not in found)
    if not sections and excursions:
        printed = [_beginning(plan, number) for number in excursions[:SHIFTS]]
        sections = [_still(demands, bars, fingers) for bars in printed]
    if not excursions:
        sections = [warm_up(plan)]
    return Sheet(
        english("Practice card: {title}", title=title) if title else english("Practice card"),
        plan.passage.name,
        plan.passage.instrument,
        numbered(as_printed(section, plan) for section in sections),
        CAUTIONS,
        tuple(remarks_of(plan, excursions, printed, left_out, SheetForm.CARD)),
        SheetForm.CARD,
    )


def _that_fit(demands: Demands, every: tuple[Task, ...], fingers: Fingers) -> tuple[Task, ...]:
    """The shifts on the card, in the order of practice: the commonest, and with each further one that has room."""
    found: tuple[Task, ...] = ()
    systems = 0.0
    for task in sorted(every, key=lambda task: -len(task.shifts)):
        section = _section(demands, task, _around(demands.plan, task.shifts[0]), fingers)
        more = systems + _systems([section])
        if not found or (len(found) < SHIFTS and more <= SYSTEMS):
            found, systems = (*found, task), more
    return tuple(task for task in every if task in found)


def card_width(exercise: Exercise) -> float:
    """Return how many lines of a card an exercise takes; a half if it can stand beside another one."""
    weight = 0.0
    position: int | None = None
    for bar in exercise.bars:
        weight += 1.5
        for note in bar.notes:
            arrives = note.position is not None and note.position != position
            weight += 1.0 + _WORD * arrives
            position = note.position if arrives else position
    return 0.5 if weight <= _HALF_LINE else float(ceil(weight / _FULL_LINE))


def _systems(sections: Iterable[Section]) -> float:
    """How many lines all sections take; a half that is alone takes a whole one."""
    return sum(ceil(sum(card_width(exercise) for exercise in section.exercises)) for section in sections)


def _section(demands: Demands, task: Task, measures: tuple[int, int], fingers: Fingers) -> Section:
    plan = demands.plan
    lines = tuple(filter(None, _lines(plan, task, measures, fingers)))
    about = joined((fingers_line(task.move), *asked_lines(demands, measures)))
    return Section(capitalized(shift_line(plan, (task,))), about, lines)


def _around(plan: Plan, shift: Shift) -> tuple[int, int]:
    """The bars of the piece that stand on the card for a shift."""
    measure = plan.event(shift.departure).measure
    return sounding(plan, (measure, min(measure + BARS - 1, len(plan.passage.measures) - 1)))


def _lines(plan: Plan, task: Task, measures: tuple[int, int], fingers: Fingers) -> Iterator[Exercise | None]:
    """The hand, the ear, the notes around the shift, and last the piece; a rhythm where there is nothing to check."""
    move = task.move
    yield without_bow(move) or hand_alone(move)
    yield with_guide(move) or check_with_open_string(move) or over_open_string(move) or in_rhythms(move)
    yield grown(plan, task.shifts[0], GROWTH)
    yield in_context(plan, measures, fingers)


def _beginning(plan: Plan, number: int) -> tuple[int, int]:
    """The bars of an excursion that stand on the card if no shift leads to it."""
    first, last = measures_of(plan, plan.excursions[number])
    return sounding(plan, (first, min(last, first + BARS - 1)))


def _still(demands: Demands, measures: tuple[int, int], fingers: Fingers) -> Section:
    """An excursion in one position to which no shift leads."""
    plan = demands.plan
    about = joined(asked_lines(demands, measures))
    return Section(english("The hand stays in its place"), about, (in_context(plan, measures, fingers),))


__all__ = ["card_width", "practice_card"]
