"""The options of a request, declared once: the command line, queries, forms, the page and the tables come from here."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from enum import StrEnum
from typing import Annotated, Any, get_args

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationError
from pydantic.fields import FieldInfo

from rules import DEFAULT_LEVEL, HIGHEST_POSITION, INSTRUMENTS, LEVELS, Character, FingeringHand, Fingers, Level

from .. import errors
from ..errors import said
from ..naming import Language, StringMarks
from .field_types import Choice, Repeatable, TextValue
from .hands import HAND
from .pins import PIN, PinText


class PrintedMarks(StrEnum):
    """What to do with fingerings that the part already has."""

    KEEP = "keep"
    REPLACE = "replace"
    IGNORE = "ignore"


def _read_positions(text: str) -> frozenset[int]:
    return frozenset(map(int, re.split("[, ]+", text.strip(", "))))


def _read_bars(text: str) -> tuple[str, str]:
    first, _, last = text.partition("-")
    return first, last or first


_POSITION = f"({'|'.join(str(number) for number in reversed(range(HIGHEST_POSITION + 1)))})"
_POSITIONS = TextValue(
    _read_positions,
    lambda positions: ",".join(map(str, sorted(positions))),
    pattern=f"^{_POSITION}([, ]+{_POSITION})*$",
    expected=said("positions as numbers from 0 to {most}, for example 1,3,5", most=HIGHEST_POSITION),
)
_BARS = TextValue(
    _read_bars,
    "-".join,
    pattern=r"^[^\s-]+(-[^\s-]+)?$",
    expected=said("a bar or a range of bars, for example 5-12"),
)
_LEVEL_LABELS = {
    "first": "1st position only",
    "first-and-third": "1st and 3rd",
    "to-third": "up to 3rd",
    "to-fifth": "up to 5th",
    "all": "all positions",
}
_LEVELS = Choice(LEVELS, _LEVEL_LABELS, {level.name: level.summary for level in LEVELS.values()})
_CHARACTERS = Choice(
    {each.value.replace(" ", "-"): each for each in Character},
    {each.value.replace(" ", "-"): each.value for each in Character},
)
_FINGERS = Choice(
    {each.value: each for each in Fingers}, {"essential": "where needed", "all": "all", "shifts": "at shifts only"}
)
_LANGUAGES = Choice(
    {each.value: each for each in Language},
    {
        "en-GB": "English (British)",
        "en-US": "English (American)",
        "de": "Deutsch",
        "fr": "Français",
        "it": "Italiano",
        "es": "Español",
    },
)
_STRINGS = Choice(
    {each.value: each for each in StringMarks},
    {"words": "as numerals", "elements": "as elements of the file", "both": "both"},
)
_TUNE = TextValue(str, str, pattern=r"^(all|[0-9]{1,9})$", expected=said("the number of a tune, or all"))
_NOTATIONS = Choice({"musicxml": "musicxml", "abc": "abc"}, {"musicxml": "MusicXML", "abc": "ABC"})
_Switch = Annotated[bool, BeforeValidator(lambda value: True if value == "" else value)]
_Parts = Annotated[tuple[str, ...], BeforeValidator(lambda texts: tuple(filter(None, texts))), Repeatable()]


class Options(BaseModel):
    """How to read, plan and mark a score. Unknown names are refused."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    instrument: Annotated[str, Choice({name: name for name in INSTRUMENTS})] = Field(
        "violin", title="Instrument", description="the instrument to plan for"
    )
    part: _Parts = Field(
        (),
        title="Part",
        description="part to work on, by id or name; without it, all parts for the instrument",
        examples=[["P1"]],
    )
    level: Annotated[Level, _LEVELS] = Field(
        DEFAULT_LEVEL.name,
        title="Level",
        description="positions and kinds of shift that the player knows",
        validate_default=True,
    )
    positions: Annotated[Annotated[frozenset[int], _POSITIONS] | None, Repeatable(",")] = Field(
        None,
        title="Positions known",
        description="positions that the player knows, instead of those of the level; 0 is half position",
        examples=["1,3,5"],
    )
    printed: Annotated[PrintedMarks, Choice({each.value: each for each in PrintedMarks})] = Field(
        "keep",
        title="Printed fingerings",
        description="fingerings that the part already has: they bind the plan, are replaced, or are ignored",
        validate_default=True,
    )
    fingers: Annotated[Fingers, _FINGERS] = Field(
        "essential", title="Fingers shown", description="finger numbers to print", validate_default=True
    )
    language: Annotated[Language, _LANGUAGES] = Field(
        "en-GB",
        title="Language",
        description="language of reports, cards, messages and sheets, and of position words unless they have their own",
        validate_default=True,
    )
    mark_language: Annotated[Language, _LANGUAGES] | None = Field(
        None, title="Position words", description="language of the position words in the score; without it, `language`"
    )
    range_lines: _Switch = Field(
        False, title="Position lines", description="print a dashed line as long as a position holds"
    )
    shift_lines: _Switch = Field(
        False,
        title="Shift lines",
        description="print a slanted line at each shift (some programs play it)",
    )
    strings: Annotated[StringMarks, _STRINGS] = Field(
        "words",
        title="Strings",
        description="how strings are printed: Roman numerals above the staff, elements of the file, or both",
        validate_default=True,
    )
    measures: Annotated[tuple[str, str], _BARS] | None = Field(
        None, title="Bars", description="bars to mark; without it, all bars", examples=["5-12"]
    )
    pin: Annotated[tuple[Annotated[PinText, PIN], ...], Repeatable()] = Field(
        (),
        title="Decisions",
        description="a decision of the player, for a row of the plan or for bars",
        examples=[["n57:finger=2,string=3", "b5-8:position=1"]],
    )
    character: Annotated[Character, _CHARACTERS] = Field(
        "from-the-part",
        title="Character",
        description="how much tone weighs against ease",
        validate_default=True,
    )
    hand: Annotated[FingeringHand, HAND] = Field(
        "standard",
        title="Hand",
        description="whose fingering: standard, or what counts more or less, as `handframe learn` finds it",
        examples=["shifts=0.7,tone=1.4"],
        validate_default=True,
    )
    tempo: float | None = Field(
        None,
        title="Tempo if none",
        description="quarter notes a minute where the part prints no tempo",
        ge=10,
        le=400,
        allow_inf_nan=False,
        examples=[96],
    )
    tune: Annotated[str, _TUNE] | None = Field(
        None,
        title="Tune",
        description="tune of an ABC collection, by its number, or all; without it, the first, and all for a review",
        examples=["12", "all"],
    )
    notation: Annotated[str, _NOTATIONS] = Field(
        "musicxml",
        title="Marked score as",
        description="notation of the marked score: MusicXML, or ABC for what came as ABC",
    )
    explain: _Switch = Field(False, title="Reasons", description="report the cost of every note of the plan, by reason")

    @property
    def marking_language(self) -> Language:
        """The language of the words that are printed into the score."""
        return self.mark_language or self.language

    @property
    def playing_level(self) -> Level:
        """The level with the listed positions, if there is a list."""
        return self.level if self.positions is None else self.level.with_positions(self.positions)


NAMES = tuple(Options.model_fields)


def read_options(texts: Mapping[str, Iterable[str]], base: Options | None = None) -> Options:
    """Return options from texts by name; an option without a text keeps its default (or its value in `base`).

    Raises:
        ScoreError: `unknown-option` with the nearest name, or `bad-option` with what is possible.
    """
    values: dict[str, Any] = {} if base is None else dict(base)
    for name, listed in texts.items():
        if name not in NAMES:
            raise errors.unknown_option(name, NAMES)
        values[name] = _joined(name, [text.strip() for text in listed])
    try:
        return Options.model_validate(values)
    except ValidationError as error:
        raise _option_error(error) from None


def _joined(name: str, texts: list[str]) -> str | list[str]:
    repeatable = repeatable_of(Options.model_fields[name])
    if repeatable is not None:
        return texts if repeatable.separator is None else repeatable.separator.join(texts)
    if len(texts) != 1:
        raise errors.bad_option(name, ", ".join(texts), said("a single value"))
    return texts[0]


def repeatable_of(field: FieldInfo) -> Repeatable | None:
    """Return how an option may be given several times, or None if it may not."""
    return next((each for each in field.metadata if isinstance(each, Repeatable)), None)


def choices_of(field: FieldInfo) -> Choice | None:
    """Return the words that an option can be, or None if it is no choice of words."""
    alternatives = (each for option in get_args(field.annotation) for each in getattr(option, "__metadata__", ()))
    return next((each for each in (*field.metadata, *alternatives) if isinstance(each, Choice)), None)


def _option_error(error: ValidationError) -> errors.ScoreError:
    first = error.errors(include_url=False)[0]
    name = str(first["loc"][0])
    return errors.bad_option(name, str(first["input"]), first.get("ctx", {}).get("expected") or _expected(name))


def _expected(name: str) -> str:
    field = Options.model_fields[name]
    if field.annotation is bool:
        return said("true or false")
    limits = {key: value for each in field.metadata for key in ("ge", "le") if (value := getattr(each, key, None))}
    return said(
        "a number from {least} to {most}: {description}",
        least=str(limits["ge"]),
        most=str(limits["le"]),
        description=said(str(field.description)),
    )
