"""Options read from text, the same for every door."""

from __future__ import annotations

import pytest

from rules import Character, Constraint
from service.config.options import NAMES, Options, PrintedMarks, read_options
from service.errors import ScoreError


def test_nothing_given_gives_the_documented_defaults() -> None:
    options = read_options({})
    assert options == Options()
    assert (options.level.name, options.printed, options.character) == (
        "first-and-third",
        PrintedMarks.KEEP,
        Character.FROM_THE_PART,
    )


def test_values_are_read_and_positions_replace_those_of_the_level() -> None:
    options = read_options(
        {"level": ["to-fifth"], "positions": ["1, 3,5"], "range_lines": ["true"], "measures": ["5-12"]}
    )
    assert options.playing_level.positions == {1, 3, 5}
    assert options.range_lines
    assert options.measures == ("5", "12")


def test_pins_are_read() -> None:
    (by_row, by_bars) = read_options({"pin": ["n57:finger=2,string=3", "P1@b5-8:position=1"]}).pin
    assert (by_row.row, by_row.constraint) == (57, Constraint(frozenset({2}), frozenset({3}), None))
    assert (by_bars.part, by_bars.bars, by_bars.constraint.positions) == ("P1", ("5", "8"), frozenset({1}))


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("level", "third"),
        ("positions", "1,x"),
        ("positions", ""),
        ("positions", "19"),
        ("range_lines", "perhaps"),
        ("measures", "5-"),
        ("tempo", "fast"),
        ("tempo", "nan"),
        ("tempo", "4000"),
        ("pin", "n5"),
        ("pin", "n5:finger=7"),
        ("pin", "n5:finger=1,finger=2"),
        ("language", "nl"),
        ("character", "sad"),
    ],
)
def test_impossible_value_is_refused_with_what_is_possible(name: str, text: str) -> None:
    with pytest.raises(ScoreError) as caught:
        read_options({name: [text]})
    assert caught.value.code == "bad-option"
    assert caught.value.status == 400
    assert name in str(caught.value)
    assert caught.value.advice


def test_unknown_option_is_refused_with_the_nearest_name() -> None:
    with pytest.raises(ScoreError, match="Did you mean level"):
        read_options({"levle": ["all"]})


def test_option_given_twice_is_refused_unless_it_repeats() -> None:
    assert read_options({"part": ["P1", "P2"]}).part == ("P1", "P2")
    with pytest.raises(ScoreError, match="single value"):
        read_options({"level": ["all", "first"]})


@pytest.mark.parametrize(("name", "inside", "outside"), [
    ("tempo", ["10", "400"], ["9.9", "400.1"]),
    ("positions", ["0", "18"], ["-1", "19"]),
    ("pin", ["n0:finger=4", "n1:position=18"], ["n0:finger=5", "n1:position=19"]),
])  # fmt: skip
def test_limits_are_where_they_are_declared(name: str, inside: list[str], outside: list[str]) -> None:
    for text in inside:
        assert getattr(read_options({name: [text]}), name)
    for text in outside:
        with pytest.raises(ScoreError, match=name):
            read_options({name: [text]})


def test_every_option_says_what_it_means_and_can_be_written_again() -> None:
    texts = {"positions": ["1,3"], "pin": ["n1:finger=2"], "measures": ["5"], "tempo": ["96"], "character": ["singing"]}
    options = read_options({**texts, "level": ["all"], "part": ["P1"], "explain": [""]})
    assert Options.model_validate_json(options.model_dump_json()) == options
    assert all(field.description and field.title for field in Options.model_fields.values())
    assert set(Options.model_json_schema()["properties"]) == set(NAMES)
