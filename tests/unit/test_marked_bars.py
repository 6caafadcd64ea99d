"""After a decision only the bars whose marks changed are made anew; the music is the same as if all were cut again."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

import pytest

from service.config.file_limits import DEFAULT_LIMITS
from service.config.options import Options, read_options
from service.musicxml.file.elements import Mark
from service.web import page_data
from service.web.marked_bars import BarsOfPart, MarkedBars
from tests.benchmarks.scores import joined


@pytest.fixture(autouse=True)
def nothing_known() -> Iterator[None]:
    page_data._SCORES._scores.clear()
    yield
    page_data._SCORES._scores.clear()


def _options(decisions: int, **others: str) -> Options:
    pins = [f"n{20 + 37 * number}:finger={1 + number % 4}" for number in range(decisions)]
    return read_options({**{name: [value] for name, value in others.items()}, "pin": pins})


def _shown(data: bytes, options: Options, remarks: dict[int, str] | None = None) -> page_data.MarkedMusic:
    return page_data.marked_music(data, options, DEFAULT_LIMITS, False, remarks)


def _afresh(data: bytes, options: Options, remarks: dict[int, str] | None = None) -> page_data.MarkedMusic:
    """The same as if the part had never been shown."""
    page_data._SCORES._scores.clear()
    return _shown(data, options, remarks)


def _spanning(text: bytes) -> bytes:
    """The part with a name of a space in it."""
    return text.replace(b"<score-partwise", b'<score-partwise xmlns:xlink="http://www.w3.org/1999/xlink"', 1)


def _commented(text: bytes) -> bytes:
    """The part with a tag in a comment, which is no bar."""
    return text.replace(b"</measure>", b"<!-- <measure> --></measure>", 1)


@pytest.mark.parametrize("change", [bytes, _spanning, _commented])
@pytest.mark.parametrize(
    "others", [{}, {"level": "all"}, {"fingers": "all", "shift_lines": "yes"}, {"range_lines": "yes"}], ids=str
)
def test_the_music_is_that_of_a_part_never_shown_before(change: type[bytes], others: dict[str, str]) -> None:
    data = change(joined(["boathouse_reel", "ferry_waltz", "two_oars"], 450))
    remarks = {30: "listen", 200: "slowly"}
    shown = [_shown(data, _options(count, **others), remarks) for count in range(5)]
    assert shown == [_afresh(data, _options(count, **others), remarks) for count in range(5)]
    assert len({tuple(each.scores) for each in shown}) > 2  # a finger that was planned anyway changes nothing
    assert len(shown[0].scores) > 1


def test_other_remarks_are_drawn() -> None:
    data = joined(["ferry_waltz"], 200)
    shown = [_shown(data, _options(1), remarks) for remarks in ({}, {30: "listen"}, {30: "slowly"}, {})]
    assert shown[0] == shown[3]
    assert [("listen" in each.scores[0], "slowly" in each.scores[0]) for each in shown[:3]] == [
        (False, False),
        (True, False),
        (False, True),
    ]


def test_only_bars_whose_marks_changed_are_made(monkeypatch: pytest.MonkeyPatch) -> None:
    data = joined(["boathouse_reel", "ferry_waltz"], 450)
    before = _shown(data, _options(0)).scores
    made: list[int] = []
    drawn = BarsOfPart.drawn

    def noted(
        self: BarsOfPart, bars: Sequence[int], marks: dict[int, list[Mark]], remarks: dict[int, str]
    ) -> list[str]:
        made.extend(bars)
        return drawn(self, bars, marks, remarks)

    monkeypatch.setattr(BarsOfPart, "drawn", noted)
    monkeypatch.setattr(page_data, "pieces", lambda *_: pytest.fail("cut again"))
    after = _shown(data, _options(1)).scores
    bars = [[re.sub(r"\s+", " ", bar) for bar in re.findall(r"<measure .*?</measure>", "".join(scores), re.DOTALL)]
            for scores in (before, after)]  # fmt: skip
    changed = [number for number, (a, b) in enumerate(zip(*bars, strict=True)) if a != b]
    assert made == changed != []
    assert len(made) < 20


def test_a_bar_that_begins_a_piece_is_cut_again() -> None:
    data = joined(["boathouse_reel", "ferry_waltz"], 450)
    options = _options(0)
    first, second = _shown(data, options).scores[:2]
    row = int((re.search(r'<note id="n(\d+)"', second) or pytest.fail("no note"))[1])
    pinned = read_options({"pin": [f"n{row}:finger=3"]})
    assert _shown(data, pinned) == _afresh(data, pinned)
    assert first


def test_nothing_is_known_of_a_part_not_cut() -> None:
    view = page_data._planned(joined(["ferry_waltz"], 100), _options(0), DEFAULT_LIMITS)
    bars = BarsOfPart(view.document, view.part.passage.part, view.rows, view.missing)
    assert bars.count == len(view.part.passage.measures)
    assert MarkedBars(bars).again((False, ()), (), {}) is None


@pytest.mark.parametrize("change", [bytes, _spanning, _commented])
@pytest.mark.parametrize("others", [{}, {"fingers": "all"}, {"range_lines": "yes"}], ids=str)
def test_the_first_piece_is_that_of_the_whole(change: type[bytes], others: dict[str, str]) -> None:
    data, options = change(joined(["boathouse_reel", "ferry_waltz", "two_oars"], 900)), _options(3, **others)
    remarks = {30: "listen", 800: "slowly"}
    begun = page_data.begun_music(data, options, DEFAULT_LIMITS, False, remarks)
    whole = _shown(data, options, remarks)
    assert begun.scores == whole.scores[: len(begun.scores)]
    assert (begun.added, begun.piece_count) == (whole.added, len(whole.scores))
    # Dashed lines may move the cuts, so that all of them have to be known.
    assert len(begun.scores) == (len(whole.scores) if "range_lines" in others else 1) < begun.piece_count + 1
    assert page_data.begun_music(data, options, DEFAULT_LIMITS, False, remarks).scores == whole.scores


def test_the_first_piece_in_a_score_of_several_parts() -> None:
    solo = joined(["ferry_waltz"], 400)
    part = solo[solo.index(b"<part id") : solo.index(b"</part>") + len(b"</part>")]
    name = solo[solo.index(b"<score-part id") : solo.index(b"</score-part>") + len(b"</score-part>")]
    first, last = part.replace(b'"P1"', b'"P0"'), part.replace(b'"P1"', b'"P2"')
    names = (name.replace(b'"P1"', b'"P0"'), name, name.replace(b'"P1"', b'"P2"'))
    data = solo.replace(part, first + part + last).replace(name, b"".join(names))
    options = read_options({"part": ["P1"]})
    begun = page_data.begun_music(data, options, DEFAULT_LIMITS, False)
    assert begun.scores == _shown(data, options).scores[:1]
    assert begun.piece_count > 1
