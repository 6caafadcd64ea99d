"""A plan for the week: which exercise on which day, for how many minutes.

The warm-up comes every day. An exercise comes new, again on the next day, and again two days later: practice that is
spaced lasts longer than practice in one go (the spacing effect; reviewed by Cepeda et al., Psychological Bulletin,
2006, from memory). A day has twenty minutes at most, in bits of five with rests between (common practice).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import chain
from math import ceil

from ..sheet import Exercise, Sheet

DAYS = 7
AGAIN = (0, 1, 3)
"""Days on which an exercise comes, counted from the day on which it is new."""
MOST_MINUTES = 20
"""Minutes of a day."""
MOST_NEW = 7
"""Minutes of a day for what is new, so that there is time for what comes again."""
REPETITIONS = 3
"""Times that an exercise is played in a go; one with a ladder of tempos, once in each."""
LONGEST = 5
"""Minutes of one exercise in a go; longer ones are taken in parts."""


@dataclass(frozen=True, slots=True)
class WeekRow:
    """One exercise in the plan: its minutes in a go, and its days (0 is the first); no days: for another week."""

    exercise: Exercise
    minutes: int
    days: tuple[int, ...]


def week_plan(sheet: Sheet) -> tuple[WeekRow, ...]:
    """Return the plan for the exercises of a sheet that are for the pupil, in their order."""
    pupils = [section for section in sheet.sections if not section.is_for_teacher]
    daily = {exercise for section in pupils if section.is_daily for exercise in section.exercises}
    used, new = [sum(map(minutes_of, daily))] * DAYS, [0] * DAYS
    rows = []
    first = 0
    for exercise in chain.from_iterable(section.exercises for section in pupils):
        minutes = minutes_of(exercise)
        if exercise in daily:
            rows.append(WeekRow(exercise, minutes, tuple(range(DAYS))))
            continue
        days: tuple[int, ...] = ()
        # New ones come in the order of the sheet, as early as all their days have room.
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
        rows.append(WeekRow(exercise, minutes, days))
    return tuple(rows)


def minutes_of(exercise: Exercise) -> int:
    """Return the minutes that an exercise takes in a go."""
    beats = float(sum((note.beats for note in exercise.notes), start=0))
    tempos = [step * float(exercise.beat) for step in exercise.steps]
    # One tempo is played as often as an exercise without a ladder.
    tempos *= 1 if len(tempos) > 1 else REPETITIONS
    minutes = sum(beats / tempo for tempo in tempos or [exercise.tempo] * REPETITIONS)
    return min(max(1, ceil(minutes)), LONGEST)


__all__ = ["WeekRow", "minutes_of", "week_plan"]
