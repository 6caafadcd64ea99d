"""A drawing that changes in a few measures: what is drawn again looks as if all had been drawn, and the rest stays."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from service.config.file_limits import DEFAULT_LIMITS
from service.config.options import read_options
from service.drawing import redrawing
from service.drawing.engraving import Layout, engrave
from service.drawing.redrawing import Drawings
from service.web.page_data import marked_music
from tests.benchmarks.scores import joined

_LAYOUT = Layout(width=1500)
_ROUNDED = 45
"""A quarter of a staff space: where a line without a key signature begins further right when it is drawn first."""
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


@pytest.fixture(scope="module")
def score() -> str:
    """A part of some sixty bars, as the engraver gets it."""
    data = joined(["ferry_waltz", "boathouse_reel"], 220)
    (only,) = marked_music(data, read_options({}), DEFAULT_LIMITS, False).scores
    return only


def _with_finger(score: str, row: int) -> str:
    """The score with a digit on one more note."""
    start = score.index(f'id="n{row}"')
    end = score.index("</note>", start)
    technical = "<notations><technical><fingering>2</fingering></technical></notations>"
    assert "<notations" not in score[start:end]
    return score[:end] + technical + score[end:]


def _free_rows(score: str) -> list[int]:
    notes = re.findall(r'<note id="n(\d+)"(.*?)</note>', score, re.DOTALL)
    return [int(row) for row, inside in notes if "<notations" not in inside and "<lyric" not in inside]


def _places(picture: str) -> list[tuple[str, list[float]]]:
    """Every note with the numbers of its head's place."""
    found = re.findall(r'<g[^>]*id="(n\d+)"[^>]*class="note".*?<use [^>]*transform="([^"]*)"', picture, re.DOTALL)
    return [(row, [float(number) for number in _NUMBER.findall(place)]) for row, place in found]


@pytest.mark.parametrize("which", [40, 90, -1])
def test_a_changed_measure_is_drawn_as_in_the_whole(score: str, which: int) -> None:
    drawings = Drawings()
    before = drawings.pictures(score, _LAYOUT, 1)
    changed = _with_finger(score, _free_rows(score)[which])
    again, whole = drawings.pictures(changed, _LAYOUT, 1), list(engrave(changed, _LAYOUT, seed=1))
    assert len(again) == len(whole) == len(before) > 2
    other = [number for number, (a, b) in enumerate(zip(before, again, strict=True)) if a != b]
    assert 1 <= len(other) < len(again)
    is_last = len(again) - 1
    for number in other:
        mine, theirs = _places(again[number]), _places(whole[number])
        assert [row for row, _ in mine] == [row for row, _ in theirs] != []
        assert again[number].count('class="fing') == whole[number].count('class="fing')
        if number < is_last:  # the last line is not stretched, and spaced a little otherwise by itself
            for (_, a), (_, b) in zip(mine, theirs, strict=True):
                assert a == pytest.approx(b, abs=_ROUNDED)


def test_nothing_is_engraved_if_nothing_changed(score: str, monkeypatch: pytest.MonkeyPatch) -> None:
    drawings = Drawings()
    before = drawings.pictures(score, _LAYOUT, 1)
    monkeypatch.setattr(redrawing, "engrave", lambda *_: pytest.fail("engraved again"))
    assert drawings.pictures(score, _LAYOUT, 1) == before


def test_another_score_is_drawn_whole(score: str, sample_scores: dict[str, Path]) -> None:
    drawings = Drawings()
    drawings.pictures(score, _LAYOUT, 1)
    (other,) = marked_music(sample_scores["ferry_waltz"].read_bytes(), read_options({}), DEFAULT_LIMITS, False).scores
    assert drawings.pictures(other, _LAYOUT, 1) == list(engrave(other, _LAYOUT, seed=1))


def test_pages_are_drawn_whole(score: str) -> None:
    paged = Layout(height=2970)
    drawings = Drawings()
    drawings.pictures(score, paged, 1)
    changed = _with_finger(score, _free_rows(score)[0])
    assert drawings.pictures(changed, paged, 1) == list(engrave(changed, paged, seed=1))


def test_ids_differ_between_what_is_drawn_again_and_what_stays(score: str) -> None:
    drawings = Drawings()
    drawings.pictures(score, _LAYOUT, 1)
    again = drawings.pictures(_with_finger(score, _free_rows(score)[40]), _LAYOUT, 1)
    own = [set(re.findall(r' id="([^"-]+)"', picture)) for picture in again]
    assert not own[2] & own[0] | own[2] & own[1]
    assert again[2] != list(engrave(score, _LAYOUT, seed=1))[2]


def _bars(*inside: str) -> str:
    note = "<note><pitch><step>A</step><octave>4</octave></pitch><duration>4</duration>{}</note>"
    start = "<attributes><divisions>1</divisions></attributes>"
    measures = "".join(
        f'<measure number="{n + 1}">{"" if n else start}{note.format(one)}</measure>' for n, one in enumerate(inside)
    )
    return f'<score-partwise><part id="P1">{measures}</part></score-partwise>'


def test_what_a_line_joins_is_drawn_together() -> None:
    from lxml import etree

    slur = '<notations><slur type="{}"/></notations>'
    root = etree.fromstring(_bars("", slur.format("start"), "", slur.format("stop"), "", ""))
    assert redrawing._joined(root) == {2, 3}
    assert redrawing._groups([0, 2, 4, 6], [1], {2, 3}) == [(0, 2)]
    assert redrawing._groups([0, 2, 4, 6], [3], {2, 3}) == [(0, 2)]
    assert redrawing._groups([0, 2, 4, 6], [4], {2, 3}) == [(2, 3)]
    assert redrawing._groups([0, 2, 4, 6], [0, 5], {2, 3}) == [(0, 2), (2, 3)]
    assert redrawing._groups([0, 2, 4, 6], [1, 2], set()) == [(0, 1), (1, 2)]
