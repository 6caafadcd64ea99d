"""Long parts in pieces: nothing is lost or doubled, each piece has its clef and key, and cuts avoid open slurs."""

from __future__ import annotations

import pytest
from lxml import etree

from service.drawing.engraving import Layout, engrave
from service.drawing.score_pieces import pieces

HEAD = (
    '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part></part-list><part id="P1">'
)
ATTRIBUTES = (
    "<attributes><divisions>2</divisions><key><fifths>3</fifths></key><time><beats>1</beats><beat-type>4</beat-type></time>"
    "<clef><sign>C</sign><line>3</line></clef></attributes>"
)


def score(bars: int, slurs: dict[int, str] | None = None, change_at: int = 0) -> str:
    """A part of quarter notes, one to a bar; `slurs` by bar, and another key from a bar on."""
    text = [HEAD]
    for bar in range(1, bars + 1):
        kind = (slurs or {}).get(bar)
        slur = f'<notations><slur type="{kind}" number="1"/></notations>' if kind else ""
        key = "<attributes><key><fifths>-2</fifths></key></attributes>" if bar == change_at else ""
        text.append(
            f'<measure number="{bar}">{ATTRIBUTES if bar == 1 else key}<note id="n{bar - 1}"><pitch><step>C</step>'
            f"<octave>4</octave></pitch><duration>2</duration><voice>1</voice><type>quarter</type>{slur}</note></measure>"
        )
    return "".join(text) + "</part></score-partwise>"


def numbers(piece: str) -> list[int]:
    return [int(measure.get("number") or 0) for measure in etree.fromstring(piece).iter("measure")]


@pytest.mark.parametrize("bars", [1, 7, 20, 24])
def test_a_short_part_stays_whole(bars: int) -> None:
    text = score(bars)
    assert pieces(etree.fromstring(text), 20) == [text]


@pytest.mark.parametrize("bars", [25, 40, 61, 200])
@pytest.mark.parametrize("size", [1, 3, 20])
def test_every_bar_comes_once_and_in_order(bars: int, size: int) -> None:
    found = pieces(etree.fromstring(score(bars)), size)
    assert [number for piece in found for number in numbers(piece)] == list(range(1, bars + 1))
    assert len(found) > 1
    assert all(len(numbers(piece)) <= 1.2 * size + 1 for piece in found)


def test_the_first_piece_may_be_shorter() -> None:
    found = pieces(etree.fromstring(score(100)), 40, 10)
    assert 8 <= len(numbers(found[0])) <= 12
    assert len(numbers(found[1])) >= 32
    assert [number for piece in found for number in numbers(piece)] == list(range(1, 101))


def test_each_piece_begins_with_what_is_in_force() -> None:
    found = pieces(etree.fromstring(score(60, change_at=30)), 20)
    begun = [etree.fromstring(piece).find("part/measure/attributes") for piece in found]
    assert all(attributes is not None for attributes in begun)
    assert [attributes.findtext("key/fifths") for attributes in begun if attributes is not None] == ["3", "3", "-2"]
    for attributes in begun[1:]:
        assert attributes is not None
        assert attributes.findtext("divisions") == "2"
        assert attributes.findtext("clef/sign") == "C"
        assert attributes.find("time[@print-object='no']") is not None


def test_cuts_avoid_open_slurs() -> None:
    found = pieces(etree.fromstring(score(60, slurs={18: "start", 22: "stop"})), 20)
    assert numbers(found[0])[-1] in {17, 22}


def test_pieces_are_drawn_with_every_note() -> None:
    drawn = [page for piece in pieces(etree.fromstring(score(50)), 20) for page in engrave(piece, Layout(1900))]
    ids = [id for page in drawn for id in etree.fromstring(page.encode()).xpath("//*[@class='note']/@id")]
    assert ids == [f"n{row}" for row in range(50)]


def test_a_size_that_cannot_be() -> None:
    with pytest.raises(ValueError, match="at least one"):
        pieces(etree.fromstring(score(3)), 0)
