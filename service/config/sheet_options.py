"""The options of a practice sheet, declared once: the command line and the queries come from here."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from enum import StrEnum
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field, ValidationError
from pydantic_core import PydanticCustomError

from rules import SheetForm

from .. import errors
from ..errors import said
from ..naming import Language
from .field_types import BAD_VALUE
from .options import Options

MOST_KINDS = 6
"""Kinds of shift on a sheet unless more are asked for: about a week of practice."""
MOST_EXERCISES = 400
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ufffe\uffff]")
WITHOUT_EFFECT = ("range_lines", "shift_lines", "explain")
"""Options of a plan that a sheet cannot follow."""


class SheetFormat(StrEnum):
    """What a practice sheet is given out as."""

    MUSICXML = "musicxml"
    PAGE = "page"
    MIDI = "midi"


class Paper(StrEnum):
    """What the printed page is cut for."""

    A4 = "a4"
    LETTER = "letter"


def _bad(expected: str) -> PydanticCustomError:
    return PydanticCustomError(BAD_VALUE, "Give {expected}", {"expected": expected})


def _read_numbers(value: Any) -> Any:
    """The numbers of texts such as "3, 1" or "5-8"."""
    if not isinstance(value, (list, tuple)) or not all(isinstance(text, str) for text in value):
        return value
    found: list[int] = []
    for text in re.split(r"[,\s]+", " ".join(value).strip()):
        if not re.fullmatch(r"\d{1,4}(-\d{1,4})?", text):
            raise _bad(said("numbers, for example 4,2 or 5-8"))
        first, _, last = text.partition("-")
        found.extend(range(int(first), int(last or first) + 1))
    if not found or min(found) < 1 or len(found) > MOST_EXERCISES:
        raise _bad(said("numbers from 1, at most {most} of them", most=MOST_EXERCISES))
    return tuple(found)


def _one_line(value: str) -> str:
    if _CONTROL.search(value):
        raise _bad(said("text without control characters"))
    return " ".join(value.split())


_Numbers = Annotated[tuple[int, ...], BeforeValidator(_read_numbers)]
_Line = Annotated[str, AfterValidator(_one_line)]


class SheetOptions(BaseModel):
    """What stands on a practice sheet and what it is given out as. Unknown names are refused."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    form: SheetForm = Field(
        SheetForm.FULL, description="full, or card: one page with the two or three shifts that occur most often"
    )
    proposal: _Numbers = Field((), description="practise this proposal of the review only; repeatable")
    most: int = Field(MOST_KINDS, ge=0, le=9999, description="kinds of shift with drills, the commonest; 0 for all")
    variants: bool = Field(False, description="print every variant of an exercise, not only what a week has room for")
    exercises: _Numbers = Field(
        (), description="print these exercises only, in this order, by their numbers on the sheet, for example 4,2,7-9"
    )
    heading: _Line = Field("", max_length=120, description="heading of the sheet instead of its title")
    pupil: _Line = Field("", max_length=80, description="name of the pupil, printed under the heading")
    remark: _Line = Field("", max_length=500, description="a remark of the teacher, printed under the heading")
    week: bool = Field(True, description="print a plan for the week on the page")
    format: SheetFormat = Field(SheetFormat.MUSICXML, description="a score, a page to print, or MIDI to listen to")
    sheet_language: Language | None = Field(
        None, description="language of the sheet, if it is not the reader's: en-GB, en-US, de, fr, it, es"
    )
    paper: Paper = Field(Paper.A4, description="what the page is cut for")


DEFAULT_SHEET = SheetOptions()
SHEET_NAMES = tuple(SheetOptions.model_fields)
LISTS = ("proposal", "exercises")
"""Options that may be given several times."""


def read_sheet_options(texts: Mapping[str, Iterable[str]]) -> SheetOptions:
    """Return the options of a sheet from texts by name.

    Raises:
        ScoreError: `unknown-option` with the nearest name, or `bad-option` with what is possible.
    """
    values: dict[str, Any] = {}
    for name, listed in texts.items():
        given = [text.strip() for text in listed]
        if name not in SHEET_NAMES:
            raise errors.unknown_option(name, SHEET_NAMES)
        if name in LISTS:
            values[name] = given
        elif len(given) != 1:
            raise errors.bad_option(name, ", ".join(given), said("a single value"))
        else:
            values[name] = given[0].lower() if name in ("form", "format", "paper") else given[0]
    try:
        return SheetOptions.model_validate(values)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        name = str(first["loc"][0])
        shown = ", ".join(values[name]) if name in LISTS else str(values[name])
        raise errors.bad_option(name, shown, _expected(first)) from None


def refuse_without_effect(options: Options) -> None:
    """Refuse options of a plan that a practice sheet cannot follow.

    Raises:
        ScoreError: `bad-option`.
    """
    for name in WITHOUT_EFFECT:
        if getattr(options, name):
            raise errors.bad_option(
                name, "true", said("{option} without a practice sheet: a sheet has no such marks", option=name)
            )


def _expected(error: Any) -> str:
    context = error.get("ctx", {})
    if error["type"] == "enum":
        return said("one of {words}", words=context["expected"].replace("'", "").replace(" or ", ", "))
    if error["type"] == "string_too_long":
        return said("at most {n} characters", n=context["max_length"])
    if error["type"] == "bool_parsing":
        return said("true or false")
    expected: str | None = context.get("expected")
    return expected or said("a whole number, 0 for all")


__all__ = ["DEFAULT_SHEET", "LISTS", "MOST_KINDS", "SHEET_NAMES", "WITHOUT_EFFECT", "Paper", "SheetFormat",
           "SheetOptions", "read_sheet_options", "refuse_without_effect"]  # fmt: skip
