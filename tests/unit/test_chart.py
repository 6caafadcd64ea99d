"""The chart: what it shows, that it needs no style sheet, and that nothing in it is told by colour alone."""

from __future__ import annotations

import colorsys
from collections import defaultdict

import pytest
from lxml import etree

from rules import INSTRUMENTS, VIOLIN, Fingerboard, Key, Pitch, fingerboard_in
from service.drawing.chart import _COLOURS, chart_of, chart_svg
from service.errors import ScoreError
from service.naming import Language

SVG = "{http://www.w3.org/2000/svg}"


def drawn(text: str) -> etree._Element:
    return etree.fromstring(text.encode())


def texts(chart: etree._Element) -> list[str]:
    return ["".join(text.itertext()) for text in chart.iter(f"{SVG}text")]


@pytest.mark.parametrize("position", [0, 1, 3, 7, 12])
@pytest.mark.parametrize("key", ["C", "Bb", "F#m", "Cb"])
@pytest.mark.parametrize("instrument", ["violin", "viola"])
def test_it_is_one_drawing_with_four_fingers_on_four_strings(position: int, key: str, instrument: str) -> None:
    chart = drawn(chart_of(position, key, instrument, Language.BRITISH))
    assert chart.tag == f"{SVG}svg"
    discs = [c for c in chart.iter(f"{SVG}circle") if c.get("class") in {"chart-disc", "chart-same"}]
    open_strings = 4
    stopped = [place for place in fingerboard_of(position, key, instrument).spots if place.in_key and place.finger]
    assert len(discs) == open_strings + len(stopped)
    assert not list(chart.iter(f"{SVG}style"))
    assert not chart.xpath("//@style")
    assert not chart.xpath("//@href")


def fingerboard_of(position: int, key: str, instrument: str) -> Fingerboard:
    return fingerboard_in(INSTRUMENTS[instrument], position, Key.named(key))


def test_it_is_told_in_words() -> None:
    chart = drawn(chart_of(3, "D", "violin", Language.BRITISH))
    described = chart.findtext(f"{SVG}desc") or ""
    # Third position in D major: F sharp is the high third finger on A; common practice.
    assert "A string: 1 D5, 2 E5, high 3 F♯5, 4 G5." in described
    assert chart.get("role") == "img"


def test_the_position_is_named_in_the_language_of_the_score() -> None:
    assert "III" in " ".join(texts(drawn(chart_of(3, "D", "violin", Language.GERMAN))))
    assert texts(drawn(chart_of(3, "D", "violin", Language.GERMAN)))[0].startswith("3. Lage")
    assert texts(drawn(chart_of(3, "D", "violin", Language.FRENCH)))[0].startswith("3e pos.")


def test_the_same_pitch_has_the_same_colour_and_the_same_name() -> None:
    chart = drawn(chart_svg(fingerboard_in(VIOLIN, 3, Key(2))))
    colours: dict[str, set[str]] = defaultdict(set)
    for text in chart.iter(f"{SVG}text"):
        if text.get("class") == "chart-colour":
            colours[(text.text or "").split()[0]].add(text.get("fill") or "")
    assert len(colours["A4"]) == 1, "open A and the second finger on D"
    assert len(colours) >= 6
    assert all(len(found) == 1 for found in colours.values())


def test_notes_of_the_bars_are_ringed() -> None:
    board = fingerboard_in(VIOLIN, 3, Key(0))
    plain = drawn(chart_svg(board)).xpath("count(//*[@class='chart-ring'])")
    ringed = drawn(chart_svg(board, [(2, Pitch.named("D5")), (1, Pitch.named("A5"))]))
    assert plain == 0
    assert ringed.xpath("count(//*[@class='chart-ring'])") == 2


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("colour", _COLOURS)
def test_white_figures_can_be_read_on_every_colour(colour: str) -> None:
    # WCAG 2.2, 1.4.3: a contrast of at least 4.5.
    assert 1.05 / (luminance(colour) + 0.05) >= 4.5
    assert colorsys.rgb_to_hls(*(int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)))[2] > 0.2


@pytest.mark.parametrize(
    ("wrong", "named"),
    [
        ({"position": 19}, "position"),
        ({"key": "H"}, "key"),
        ({"instrument": "cello"}, "instrument"),
        ({"notes": "2;D5"}, "notes"),
        ({"notes": "2:X5"}, "notes"),
    ],
)
def test_a_wrong_option_is_named(wrong: dict[str, object], named: str) -> None:
    options = {"position": 1, "key": "C", "instrument": "violin", "notes": ""} | wrong
    with pytest.raises(ScoreError) as caught:
        chart_of(language=Language.BRITISH, **options)  # type: ignore[arg-type]
    assert caught.value.code == "bad-option"
    assert caught.value.where == f"option {named}"
