"""The models of a review."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from .answers import Closed, LevelName, SeverityWord

Row = Annotated[int, Field(ge=0, description="pitched notes, neither grace nor tie continuation, in document order")]
Bar = Annotated[str, Field(description="the bar's number as printed")]


class Place(Closed):
    """Where in the part."""

    measure: Bar
    measure_index: int
    beat: str
    rows: list[Row]


class LevelNeeded(Closed):
    """The lowest level that can play the part."""

    level: LevelName
    measures: list[Bar] = Field(description="bars that need it")
    unplayable_measures: list[Bar] = Field(description="bars that no level can play as written")
    because: list[str] = Field(
        description="what these bars ask for: reach, a shift under a slur, the key, double stops"
    )


class FindingAnswer(Closed):
    """A fault found."""

    rule: str
    outcome: str
    severity: SeverityWord
    message: str
    text: str
    first: Place
    last: Place
    notes: list[str]
    facts: dict[str, int | float | str | bool | None]
    proposal: int | None = Field(description="number of the proposal that answers it")


class Reason(Closed):
    """Why another position pays."""

    reason: str
    text: str


class Anchor(Closed):
    """Where the first finger stands in a position."""

    position: int
    string: int
    pitch: str
    how: str | None = Field(None, description="how to find it by ear")


class ShiftAnswer(Closed):
    """A change of position."""

    departure: Place
    arrival: Place
    from_position: int
    to_position: int
    kind: str
    slurred: bool
    guide_finger: int | None
    guide_pitch: str | None
    finger: int | None
    text: str


class FingerPlace(Closed):
    """Where one finger of a pattern stands."""

    finger: int
    pitch: str
    place: str = Field(description="low or high")
    used: bool
    changes: bool = Field(description="whether it stands both low and high")


class Pattern(Closed):
    """The shape of the hand on one string."""

    position: int
    string: int
    name: str = Field(description="where the half steps lie", examples=["2-3"])
    fingers: list[FingerPlace]
    text: str


class Saving(Closed):
    """What a proposal saves, in the unit of effort: an ordinary string crossing costs about 1.5."""

    by_aspect: dict[str, float]
    text: str


class AlternativeAnswer(Closed):
    """Another way to play the passage."""

    kind: str
    label: str
    text: str = Field(description="how its counts differ from the proposal; empty if none does")
    near: bool = Field(
        description="whether it is worth a try: nearly as good as the proposal, and some figure is lower"
    )
    positions: list[int]
    figures: dict[str, int]
    proposed: dict[str, int] = Field(description="the same figures as proposed")
    effort: float = Field(description="how much more it costs")
    pins: list[str] = Field(description="decisions that choose it, for the option pin")


class BarAnswer(Closed):
    """How hard one bar is."""

    measure: Bar
    measure_index: int
    effort: float
    seconds: float
    per_second: float
    shifts: int
    crossings: int
    hard_grips: int


class Difficulty(Closed):
    """The curve of difficulty, bar by bar."""

    bars: list[BarAnswer]
    hardest: list[Bar]


class ProposalAnswer(Closed):
    """A passage that is better played in other positions."""

    number: int
    bars: str
    first: Place
    last: Place
    positions: list[int]
    reasons: list[Reason]
    summary: str
    before: dict[str, int]
    after: dict[str, int]
    shifts: list[ShiftAnswer]
    steps: list[str] = Field(description="where the hand goes, in sentences: begin, each shift, stay to the end")
    anchors: list[Anchor]
    patterns: list[Pattern]
    saving: Saving
    alternatives: list[AlternativeAnswer]


class Effort(Closed):
    """What a note and the way to it cost: the sum, by aspect, and by term."""

    total: float
    by_aspect: dict[str, float]
    items: dict[str, float]


class PlanRow(Closed):
    """One note of the plan."""

    index: Row
    id: str
    measure: Bar
    beat: str
    pitch: str
    string: int | None
    finger: int | None
    position: int | None
    effort: Effort | None = Field(None, description="only where `explain` is asked for")


class UnmetAnswer(Place):
    """A decision that could not be kept."""

    note: str
    misses: list[str] = Field(description="which of finger, string, position and stay is not kept")
    why: str
    against: list[str] = Field(description="ids of the notes with which it collides")
    text: str


class ChoiceAnswer(Place):
    """What is left for the player to decide; what recurs is one choice, at its first place."""

    text: str
    beyond_level: bool


class PartAnswer(Closed):
    """The review of one part."""

    part: str
    name: str
    instrument: str
    level: LevelName
    level_needed: LevelNeeded
    beyond_measures: list[Bar] = Field(description="bars with notes that the level asked for does not reach")
    counts: dict[str, int]
    findings: list[FindingAnswer]
    proposals: list[ProposalAnswer]
    difficulty: Difficulty
    unmet: list[UnmetAnswer]
    choices: list[ChoiceAnswer]
    remarks: list[str]
    plan: list[PlanRow]


class ReviewAnswer(Closed):
    """The review of a score."""

    version: str
    parts: list[PartAnswer]
