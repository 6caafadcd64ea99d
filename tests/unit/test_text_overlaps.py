"""Texts that lie over each other in a picture: a word over a digit is lifted, two words are reported."""

from __future__ import annotations

import pytest

from service.drawing.text_overlaps import overlaps, texts_lifted

SVG = '<svg xmlns="http://www.w3.org/2000/svg">{}</svg>'


def text(said: str, x: int, y: int, size: int = 100, anchor: str = "start") -> str:
    span = f'<tspan font-size="{size}px">{said}</tspan>'
    return f'<text x="{x}" y="{y}" text-anchor="{anchor}" font-size="0px">{span}</text>'


def pairs(picture: str) -> list[set[str]]:
    return [{one.text, other.text} for one, other in overlaps(picture)]


def pairs_that_share_area(picture: str) -> int:
    return sum(one.shares_area(other) for one, other in overlaps(picture))


def test_digits_in_a_row_are_free_and_over_each_other_are_not() -> None:
    assert pairs(SVG.format(text("1", 0, 0) + text("2", 200, 0))) == []
    assert pairs(SVG.format(text("1", 0, 0) + text("2", 20, 0))) == [{"1", "2"}]


def test_words_stand_neither_over_nor_right_above_each_other() -> None:
    assert pairs(SVG.format(text("1st pos.", 0, 0) + text("3rd pos.", 300, 0))) == [{"1st pos.", "3rd pos."}]
    assert pairs(SVG.format(text("1st pos.", 0, 0) + text("3rd pos.", 300, 120))) == [{"1st pos.", "3rd pos."}]
    assert pairs(SVG.format(text("1st pos.", 0, 0) + text("3rd pos.", 300, 250))) == []
    assert pairs(SVG.format(text("1st pos.", 0, 0) + text("3rd pos.", 600, 0))) == []


def test_a_word_over_a_digit_is_lifted_and_nothing_else_moves() -> None:
    clear = SVG.format(text("3rd pos.", 0, 0) + text("4", 100, 200))
    assert texts_lifted(clear) is clear
    lifted = texts_lifted(SVG.format(text("3rd pos.", 0, 0) + text("4", 400, 40) + text("2", 900, 40)))
    assert pairs(lifted) == []
    assert 'x="400" y="40"' in lifted
    assert 'x="0" y="0"' not in lifted


def test_a_word_right_beside_a_digit_is_lifted_since_digits_are_bold() -> None:
    lifted = texts_lifted(SVG.format(text("2", 0, 40) + text("3rd pos.", 70, 0)))
    assert 'x="70" y="0"' not in lifted
    apart = SVG.format(text("2", 0, 40) + text("3rd pos.", 100, 0))
    assert texts_lifted(apart) is apart


def test_a_digit_on_a_stem_is_lifted_with_the_numeral_above_it() -> None:
    stem = '<g class="stem"><path d="M130 900 L130 380" stroke-width="18" /></g>'
    digit, numeral = text("2", 100, 400, anchor="middle"), text("II", 100, 300, anchor="middle")
    lifted = texts_lifted(SVG.format(stem + digit + numeral))
    assert 'y="360"' in lifted  # the lower edge of the digit, a fifth of its size below its line, is at the stem's end
    assert 'y="260"' in lifted
    clear = SVG.format(stem + text("2", 100, 300, anchor="middle"))
    assert texts_lifted(clear) is clear


def test_of_words_over_each_other_the_lowest_stays_and_the_others_stand_above_it() -> None:
    lifted = texts_lifted(SVG.format(text("1st pos.", 0, 500) + text("3rd pos.", 300, 520)))
    assert 'x="300" y="520"' in lifted
    assert 'x="0" y="425"' in lifted
    three = text("3rd pos.", 0, 500) + text("Andante", 0, 480) + text("dolce", 0, 460)
    assert pairs_that_share_area(texts_lifted(SVG.format(three))) == 0


def test_a_picture_grows_by_what_is_lifted_over_its_edge() -> None:
    nested = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 90 30"><svg viewBox="0 0 900 300">{}</svg></svg>'
    lifted = texts_lifted(nested.format(text("3rd pos.", 0, 90) + text("4", 400, 100)))
    # The word ends up 100 units high above the digit's upper edge: from y = -70 to 25.
    assert 'viewBox="0 -7 90 37"' in lifted
    assert 'viewBox="0 0 900 300" width="90" height="30" overflow="visible"' in lifted


SLUR = '<g class="slur"><path d="M0,900 C300,300 700,300 1000,900 C700,320 300,320 0,900" /></g>'


def test_a_digit_under_a_slur_is_lifted_above_it_with_the_numeral() -> None:
    # The top of the arc is at y = 450: an eighth and seven eighths of the way from 900 to 300.
    digit, numeral = text("4", 500, 470, anchor="middle"), text("II", 500, 370, anchor="middle")
    lifted = texts_lifted(SVG.format(SLUR + digit + numeral))
    assert lifted.count('y="4') == 1  # the digit's lower edge, 20 below its line, ends 20 above the arc
    assert 'y="410' in lifted
    assert 'y="310' in lifted


def test_a_digit_beside_or_inside_a_slur_stays() -> None:
    for x, y in ((500, 700), (500, 350), (1200, 880)):
        clear = SVG.format(SLUR + text("4", x, y, anchor="middle"))
        assert texts_lifted(clear) is clear


def test_a_word_is_lifted_off_a_note_that_reaches_into_it() -> None:
    head = '<g class="notehead"><use transform="translate({}, {}) scale(0.72, 0.72)" /></g>'
    word = text("3rd pos.", 0, 500)
    lifted = texts_lifted(SVG.format(head.format(300, 560) + word))
    assert 'y="450"' in lifted  # 90 above the middle of the head, less the word's descenders
    for x, y in ((300, 700), (900, 560), (300, 420)):
        clear = SVG.format(head.format(x, y) + word)
        assert texts_lifted(clear) is clear


def test_a_tempo_mark_with_its_note_is_lifted_off_a_digit() -> None:
    note = '<tspan font-family="Leipzig" font-size="700px">\ue1d5</tspan>'
    tempo = f'<text x="0" y="100" font-size="0px">{note}<tspan font-size="100px"> = 84</tspan></text>'
    lifted = texts_lifted(SVG.format(tempo + text("4", 600, 130, anchor="middle")))
    assert '<text x="0" y="35"' in lifted


def test_digits_of_a_unison_stand_above_each_other_and_not_side_by_side() -> None:
    lifted = texts_lifted(SVG.format(text("1", 0, 500, anchor="middle") + text("0", 212, 500, anchor="middle")))
    assert 'x="0" y="405"' in lifted
    assert 'x="212" y="500"' in lifted
    clear = SVG.format(text("1", 0, 500, anchor="middle") + text("2", 300, 500, anchor="middle"))
    assert texts_lifted(clear) is clear


def test_a_word_is_lifted_off_a_slur_and_one_below_the_staff_is_not() -> None:
    lifted = texts_lifted(SVG.format(SLUR + text("1st pos.", 300, 480)))
    assert 'x="300" y="480"' not in lifted
    below = '<g class="slur"><path d="M0,300 C300,900 700,900 1000,300 C700,880 300,880 0,300" /></g>'
    clear = SVG.format(below + text("dolce", 300, 760))
    assert texts_lifted(clear) is clear


@pytest.mark.parametrize("size", [97, 303, 383, 405])
def test_what_was_lifted_overlaps_no_more(size: int) -> None:
    words = text("3rd pos.", 7, 500, size) + text("2nd pos.", 11, 497, size)
    crowd = words + text("4", 301, 503, size, anchor="middle")
    assert pairs_that_share_area(texts_lifted(SVG.format(crowd))) == 0
