"""The order in which bars are played, beside music21's own (`expandRepeats`)."""

from __future__ import annotations

from pathlib import Path

import music21
import pytest
from lxml import etree

from service.musicxml.file.container import open_document
from service.web.play_order import play_order

FORWARD = '<barline location="left"><repeat direction="forward"/></barline>'
BACK = '<barline location="right"><repeat direction="backward"/></barline>'
FINE = '<direction><direction-type><words>Fine</words></direction-type><sound fine="yes"/></direction>'
DA_CAPO = '<direction><direction-type><words>D.C. al Fine</words></direction-type><sound dacapo="yes"/></direction>'
SEGNO = '<direction><direction-type><segno/></direction-type><sound segno="s"/></direction>'
TO_CODA = '<direction><direction-type><coda/></direction-type><sound tocoda="c"/></direction>'
DAL_SEGNO = '<direction><direction-type><words>D.S. al Coda</words></direction-type><sound dalsegno="s"/></direction>'
CODA = '<direction><direction-type><coda/></direction-type><sound coda="c"/></direction>'


def ending(number: str, back: bool) -> str:
    kind = "stop" if back else "discontinue"
    repeat = '<repeat direction="backward"/>' if back else ""
    return (
        f'<barline location="left"><ending number="{number}" type="start"/></barline>'
        f'<barline location="right"><ending number="{number}" type="{kind}"/>{repeat}</barline>'
    )


def order(*bars: str) -> list[int]:
    text = "".join(f"<measure>{bar}</measure>" for bar in bars)
    return play_order(etree.fromstring(f"<part>{text}</part>"))


@pytest.mark.parametrize(
    ("bars", "expected"),
    [
        (("", "", ""), [0, 1, 2]),
        (("", BACK, ""), [0, 1, 0, 1, 2]),
        (("", FORWARD, BACK, ""), [0, 1, 2, 1, 2, 3]),
        ((FORWARD + BACK, FORWARD + BACK), [0, 0, 1, 1]),
        (("", ending("1", True), ending("2", False), "", BACK), [0, 1, 0, 2, 3, 4, 3, 4]),
        (("", ending("1, 2", True), ending("3", False), ""), [0, 1, 0, 1, 0, 2, 3]),
        (("", BACK.replace("/></b", ' times="3"/></b')), [0, 1, 0, 1, 0, 1]),
        (("", FINE, DA_CAPO), [0, 1, 2, 0, 1]),
        ((FORWARD, BACK + FINE, DA_CAPO), [0, 1, 0, 1, 2, 0, 1]),
        (("", SEGNO, TO_CODA, DAL_SEGNO, CODA), [0, 1, 2, 3, 1, 2, 4]),
        (("", ending("1", True), ending("2", False) + FINE, DA_CAPO), [0, 1, 0, 2, 3, 0, 2]),
    ],
)
def test_bars_are_played_in_the_usual_order(bars: tuple[str, ...], expected: list[int]) -> None:
    assert order(*bars) == expected


def test_signs_that_never_end_are_cut_off() -> None:
    assert len(order(BACK.replace("/></b", ' times="1000"/></b'))) == 8
    assert order() == []


@pytest.mark.parametrize("name", ["pier_march", "ferry_waltz", "boathouse_reel", "evening_on_the_jetty"])
def test_the_samples_are_played_as_music21_expands_them(sample_scores: dict[str, Path], name: str) -> None:
    path = sample_scores[name]
    part = next(open_document(path.read_bytes()).root.iterchildren("part"))
    labels = [measure.get("number") for measure in part.iterchildren("measure")]
    score = music21.converter.parse(path)
    expanded = score.parts[0].expandRepeats()
    wanted = [f"{m.number}{m.numberSuffix or ''}" for m in expanded.getElementsByClass(music21.stream.Measure)]
    assert len(play_order(part)) == len(wanted)
    plain = [str(labels[bar]).removeprefix("X") for bar in play_order(part)]
    assert [label for label in plain if label.isdigit()][:12] == [label for label in wanted if label.isdigit()][:12]
