"""The models of a check: the findings of one file against a policy."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field, TypeAdapter

from .answers import Closed, SeverityWord
from .review_answer import PartAnswer

VERSION = "1"
"""Version of the schema; it rises when a reader has to change."""

Count = Annotated[int, Field(ge=0)]
TextPlace = Annotated[int, Field(ge=1)]


class CheckFinding(Closed):
    """One finding of a check."""

    rule: str = Field(description="id of the rule")
    outcome: str = Field(description="code of the outcome")
    severity: SeverityWord
    message: str
    first_bar: str = Field(description="label of the bar where it begins")
    last_bar: str = Field(description="label of the bar where it ends")
    beat: str = Field(description="beat where it begins")
    notes: str = Field(description="names of its notes")
    proposal: Annotated[int, Field(ge=1)] | None = Field(description="number of the proposal that answers it")
    fingerprint: str = Field(
        description="the same for the same finding after bars were added before it", pattern="^[0-9a-f]{20}$"
    )
    line: TextPlace | None = Field(description="line of its first note in the file; null in an archive")
    column: TextPlace | None = Field(description="column of its first note in the file; null in an archive")
    exempted: str = Field(description="reason for which the policy accepts it, or empty")
    known: bool = Field(description="whether the baseline has it")
    counts: bool = Field(description="whether it is neither answered, nor exempted, nor known")


class HardBar(Closed):
    """One of the hardest bars."""

    bar: str
    effort_per_second: float


class CheckPart(Closed):
    """The check of one part."""

    part: str
    name: str
    level: str
    level_needed: str
    bars: Count
    notes: Count
    findings: list[CheckFinding]
    hardest: list[HardBar]


class FileAnswer(Closed):
    """The review and the check of one file."""

    file: str
    version: str
    parts: list[PartAnswer]
    check: list[CheckPart]


class FileError(Closed):
    """Why a file could not be checked."""

    code: str
    message: str


class UncheckedFile(Closed):
    """A file that could not be checked."""

    file: str
    error: FileError


CHECK = TypeAdapter(list[CheckPart])


def check_schema() -> dict[str, Any]:
    """Return the JSON schema (draft 2020-12) of the value of `check` for one file."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **CHECK.json_schema(mode="serialization"),
        "title": f"handframe: the check of one file, version {VERSION}",
    }
