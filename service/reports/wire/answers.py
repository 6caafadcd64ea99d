"""The models of small answers: problems, health, version, rules and levels."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field
from pydantic_core import core_schema

from rules import LEVELS, Concern, Severity


class _OneOf:
    """One of these words, as an enumeration in the schema."""

    def __init__(self, words: Iterable[str]) -> None:
        self._words = list(words)

    def __get_pydantic_core_schema__(self, _source: Any, _handler: Any) -> core_schema.CoreSchema:
        return core_schema.literal_schema(self._words)


LevelName = Annotated[str, _OneOf(LEVELS)]
SeverityWord = Annotated[str, _OneOf(severity.word for severity in Severity)]


ConcernWord = Annotated[str, _OneOf(concern.value for concern in Concern)]


class Closed(BaseModel):
    """A model without any other fields."""

    model_config = ConfigDict(extra="forbid")


class Problem(Closed):
    """A fault, as problem details (RFC 9457)."""

    type: str = Field(description="names the kind of fault", examples=["/problems/truncated"])
    title: str = Field(description="the kind of fault in words", examples=["Truncated"])
    status: int = Field(description="the HTTP status", examples=[400])
    detail: str = Field(description="what is wrong", examples=["The file ends in the middle of the score."])
    advice: str = Field(description="what to do", examples=["Fetch or export it again."])
    code: str = Field(description="for programs; never changes", examples=["truncated"])
    where: str | None = Field(None, description="part, bar or line, where known", examples=["line 512"])
    request_id: str | None = Field(None, description="to be given when the fault is reported")


class Health(Closed):
    """That the service answers, and how busy it is."""

    status: Literal["ok"]
    version: str
    planners: int = Field(description="calls that can be worked on at once")
    working: int
    waiting: int


class Version(Closed):
    """What the service is."""

    name: Literal["handframe"]
    version: str
    api: int = Field(description="rises when a client has to change")
    program: str = Field(description="tells this very program from any other; part of every entity tag")


class OutcomeEntry(Closed):
    """What a rule can find."""

    sentence: str = Field(description="with places for facts in braces")
    severity: SeverityWord


class RuleEntry(Closed):
    """A rule of the catalogue."""

    id: str
    title: str
    rationale: str
    outcomes: dict[str, OutcomeEntry]


class LevelEntry(Closed):
    """A level: what a player's hand knows."""

    name: LevelName
    summary: str
    positions: list[int]
    shifts: list[str]
    extensions: bool
