"""The models of a check: one answer a file, with its findings against a policy."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field

from .answers import Closed, ConcernWord, SeverityWord
from .review_answer import PartAnswer

VERSION = "2"
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
    core: str = Field(description="the same as long as its own notes stay", pattern="^[0-9a-f]{20}$")
    line: TextPlace | None = Field(description="line of its first note; in an archive, in the score inside")
    column: TextPlace | None = Field(description="column of its first note; in an archive, in the score inside")
    exempted: str = Field(description="reason for which the policy accepts it, or empty")
    known: bool = Field(description="whether the baseline has it")
    exception: str = Field(description="the entry of the policy that accepts it, or empty")
    concern: ConcernWord = Field(description="what it is about: the print, the level, or playing")
    first_measure: Count = Field(description="index of the measure where it begins, from 0")
    last_measure: Count = Field(description="index of the measure where it ends")
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


class FileError(Closed):
    """Why a file could not be checked."""

    code: str
    message: str


class FileAnswer(Closed):
    """One file: its review and its check, or why there is none."""

    file: str
    version: str = Field(description="of this schema")
    policy: str = Field(description="name of the policy; empty if the file was not read")
    fail_on: str = Field(description="the least severity that makes the check fail")
    error: FileError | None = Field(description="why the file could not be checked, else null")
    skipped: str | None = Field(description="why there was nothing to check, else null")
    stale: list[str] = Field(description="entries of the baseline that match nothing any more")
    parts: list[PartAnswer]
    check: list[CheckPart]


class CheckAnswer(Closed):
    """A check of one file or of many: always a list of files."""

    version: str = Field(description="of this schema")
    files: list[FileAnswer]


def check_schema() -> dict[str, Any]:
    """Return the JSON schema (draft 2020-12) of the report."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **CheckAnswer.model_json_schema(mode="serialization"),
        "title": f"handframe: the check of files, version {VERSION}",
    }
