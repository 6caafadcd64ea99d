"""What stands on a sheet and what is put aside: a sheet is for a week, and a week has room for so many exercises.

Each exercise says how much it is needed. What has to be there stays: every position and every way of shifting once,
every passage in the piece. Then comes what is needed most, of the commonest and hardest things first.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from ...text import Text, counted, english, set_apart
from ..sheet import Exercise, Need, Section

USUAL_SIZE = 24
"""Exercises of a sheet, as many as a week of twenty minutes a day has room for (common practice)."""
LEAST_CHOSEN = 6
"""Exercises besides those that have to be there, however many these are."""
MOST_NAMED = 8
"""Titles that a remark names; nobody reads a longer list."""


def of_usual_size(sections: Sequence[Section]) -> tuple[tuple[Section, ...], tuple[Exercise, ...]]:
    """Return the sections as they stand on a sheet of usual size, and the exercises that are put aside."""
    every = [(section, exercise) for section in sections for exercise in section.exercises]
    stays = {id(exercise) for _, exercise in every if exercise.need is Need.ALWAYS}
    room = max(USUAL_SIZE - len(stays), LEAST_CHOSEN)
    others = [(section, exercise) for section, exercise in every if id(exercise) not in stays]
    ranked = sorted(others, key=lambda pair: (pair[1].need, -pair[0].weight))
    chosen = [exercise for _, exercise in ranked if exercise.need < Need.VARIANT][:room]
    stays |= set(map(id, chosen))
    found = (
        replace(section, exercises=tuple(exercise for exercise in section.exercises if id(exercise) in stays))
        for section in sections
    )
    return tuple(found), tuple(exercise for _, exercise in every if id(exercise) not in stays)


def needed(need: Need, exercises: Iterable[Exercise | None]) -> list[Exercise]:
    """Return the exercises, each needed at most so much."""
    return [replace(each, need=max(each.need, need)) for each in exercises if each is not None]


def put_aside_line(put_aside: Sequence[Exercise]) -> Text:
    """Return a line that names what is put aside; empty if there is nothing."""
    if not put_aside:
        return Text()
    if len(put_aside) > MOST_NAMED:
        return counted(
            "Put aside for later weeks: {n} more exercise. The sheet with all variants has it.",
            "Put aside for later weeks: {n} more exercises. The sheet with all variants has them.",
            len(put_aside),
        )
    return english(
        "Put aside for later weeks: {exercises}. The sheet with all variants has them.",
        exercises=set_apart(exercise.title for exercise in put_aside),
    )


__all__ = ["USUAL_SIZE", "needed", "of_usual_size", "put_aside_line"]
