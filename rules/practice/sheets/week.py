"""A plan for the week: which exercise on which day, for how many minutes.

The warm-up comes every day. An exercise comes new, again on the next day, and again two days later: practice that is
spaced lasts longer than practice in one go (the spacing effect; reviewed by Cepeda et al., Psychological Bulletin,
2006, from memory). A day has twenty minutes at most, in bits of five with rests between (common practice).

A week leads back into the piece. A passage comes with what prepares it, its positions and the shifts between them, and
a week that has no room for all these drills takes the first ones of each section.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import chain
from math import ceil

from ...hand.grip import HOME_POSITION
from ..sheet import Exercise, Section, Sheet

DAYS = 7
AGAIN = (0, 1, 3)
"""Days on which an exercise comes, counted from the day on which it is new."""
MOST_MINUTES = 20
"""Minutes of a day."""
MOST_NEW = 7
"""Minutes of a day for what is new, so that there is time for what comes again."""
REPETITIONS = 3
"""Times that an exercise is played in a go; one with a ladder of tempos, in each of those that a day has time for."""
LONGEST = 5
"""Minutes of one exercise in a go; longer ones are taken in parts."""


@dataclass(frozen=True, slots=True)
class WeekRow:
    """One exercise in the plan: its minutes in a go, and its days (0 is the first); no days: for another week."""

    exercise: Exercise
    minutes: int
    days: tuple[int, ...]


def week_plan(sheet: Sheet) -> tuple[WeekRow, ...]:
    """Return the plan for the exercises of a sheet that are for the pupil, in the order of the sheet."""
    pupils = [section for section in sheet.sections if not section.is_for_teacher]
    daily = [exercise for section in pupils if section.is_daily for exercise in section.exercises]
    days = _days_of(daily, _in_order(pupils)) | dict.fromkeys((each.number for each in daily), tuple(range(DAYS)))
    return tuple(
        WeekRow(exercise, minutes_of(exercise), days[exercise.number])
        for exercise in chain.from_iterable(section.exercises for section in pupils)
    )


def _days_of(daily: Iterable[Exercise], order: Iterable[Exercise]) -> dict[int, tuple[int, ...]]:
    """The days of each exercise, by number: new ones come in this order, as early as all their days have room."""
    used, new = [sum(map(minutes_of, daily))] * DAYS, [0] * DAYS
    found: dict[int, tuple[int, ...]] = {}
    first = 0
    for exercise in order:
        minutes = minutes_of(exercise)
        days: tuple[int, ...] = ()
        for day in range(first, DAYS - AGAIN[1]):
            wanted = tuple(day + later for later in AGAIN if day + later < DAYS)
            has_room = all(used[each] + minutes <= MOST_MINUTES for each in wanted)
            if has_room and new[day] + minutes <= MOST_NEW:
                days, first = wanted, day
                new[day] += minutes
                break
        else:
            first = DAYS
        for each in days:
            used[each] += minutes
        found[exercise.number] = days
    return found


def _in_order(sections: Sequence[Section]) -> list[Exercise]:
    """The exercises that are not for every day, in the order in which they come new.

    As on the sheet, if the week then comes to the piece; else each passage with its drills, those with the fewest
    positions first, and of each section of drills only so many before the passage that it has room.
    """
    ours = [section for section in sections if not section.is_daily]
    daily = [exercise for section in sections if section.is_daily for exercise in section.exercises]
    as_printed = [exercise for section in ours for exercise in section.exercises]
    passages = sorted(filter(_is_passage, ours), key=lambda section: len(_positions(section)))
    if not passages or _comes_to_the_piece(daily, as_printed, passages[:1]):
        return as_printed
    order = as_printed
    for most in range(max(len(section.exercises) for section in ours), 0, -1):
        order = _passage_by_passage(ours, passages, most)
        if _comes_to_the_piece(daily, order, passages[:1]):
            break
    return order


def _passage_by_passage(ours: Sequence[Section], passages: Sequence[Section], most: int) -> list[Exercise]:
    """Each passage behind at most so many drills of every section that prepares it; then all that is left."""
    found: dict[int, Exercise] = {}
    for passage in passages:
        known = _positions(passage) | {HOME_POSITION}
        prepared = [section for section in ours if not _is_passage(section) and _positions(section) <= known]
        for exercise in (*chain.from_iterable(each.exercises[:most] for each in prepared), *passage.exercises):
            found.setdefault(exercise.number, exercise)
    for section in ours:
        for exercise in section.exercises:
            found.setdefault(exercise.number, exercise)
    return list(found.values())


def _comes_to_the_piece(daily: Iterable[Exercise], order: Iterable[Exercise], passages: Iterable[Section]) -> bool:
    """Whether every exercise of these passages has its days."""
    days = _days_of(daily, order)
    return all(days[exercise.number] for passage in passages for exercise in passage.exercises)


def _is_passage(section: Section) -> bool:
    """Whether bars of the piece stand in a section, with their numbers."""
    return any(bar.label for exercise in section.exercises for bar in exercise.bars)


def _positions(section: Section) -> frozenset[int]:
    return frozenset(
        note.position for exercise in section.exercises for note in exercise.notes if note.position is not None
    )


def minutes_of(exercise: Exercise) -> int:
    """Return the minutes that an exercise takes in a go."""
    beats = float(sum((note.beats for note in exercise.notes), start=0))
    tempos = [step * float(exercise.beat) for step in exercise.steps] or [exercise.tempo]
    # The ladder is climbed over the days of the exercise, and the slowest tempos take longest.
    today = tempos[: ceil(len(tempos) / len(AGAIN))]
    minutes = sum(REPETITIONS * beats / tempo for tempo in today)
    return min(max(1, ceil(minutes)), LONGEST)


__all__ = ["WeekRow", "minutes_of", "week_plan"]
