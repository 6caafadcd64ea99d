"""What a teacher makes of a sheet: exercises chosen and put in order, and sheets put together for a class."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import groupby

from ...text import joined
from ..sheet import Section, Sheet, numbered


def chosen_exercises(sheet: Sheet, numbers: Iterable[int]) -> Sheet:
    """Return the sheet with some of its exercises only, in the order of the numbers given, numbered anew.

    Exercises of one section that come after each other stay under its heading.

    Raises:
        IndexError: if the sheet has no exercise of a number.
    """
    places = {exercise.number: (section, exercise) for section in sheet.sections for exercise in section.exercises}
    found = []
    for number in numbers:
        if number not in places:
            raise IndexError(f"the sheet has exercises 1 to {len(places)}, not {number}")
        found.append(places[number])
    sections = []
    for _, group in groupby(found, key=lambda pair: id(pair[0])):
        members = list(group)
        sections.append(replace(members[0][0], exercises=tuple(exercise for _, exercise in members)))
    return replace(sheet, sections=numbered(sections))


def without_sections(sheet: Sheet, left_out: Iterable[Section]) -> Sheet:
    """Return the sheet without some of its sections (the very same ones), the exercises numbered anew."""
    gone = {id(section) for section in left_out}
    return replace(sheet, sections=numbered(section for section in sheet.sections if id(section) not in gone))


def sheets_together(sheets: Sequence[Sheet], title: str) -> Sheet:
    """Return one sheet with what stands on several, each on a page of its own.

    Raises:
        ValueError: if there is none, or they are for different instruments.
    """
    if len({sheet.instrument.name for sheet in sheets}) != 1:
        raise ValueError("sheets for one instrument can be put together, not for several or none")
    sections: list[Section] = []
    remarks: list[str] = []
    for number, sheet in enumerate(sheets):
        name = joined((sheet.title, sheet.subtitle), ", ")
        for index, section in enumerate(sheet.sections):
            heading = joined((name, section.heading), ": ") if index == 0 else section.heading
            begins = index == 0 and number > 0
            exercises = tuple(replace(exercise, origin=0) for exercise in section.exercises)
            new_page = section.new_page or begins
            sections.append(replace(section, heading=heading, piece=name, new_page=new_page, exercises=exercises))
        remarks += [joined((name, remark), ": ") for remark in sheet.remarks]
    first = sheets[0]
    return replace(first, title=title, subtitle="", sections=numbered(sections), remarks=tuple(remarks))


__all__ = ["chosen_exercises", "sheets_together", "without_sections"]
