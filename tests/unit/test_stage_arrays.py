"""Arrays of the stages of a chain: the same in whatever blocks they are worked out."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from rules.cost.grip_arrays import Array
from rules.search import stage_arrays
from rules.search.consensus import agree, temperatures
from rules.search.stage_arrays import StageArrays

STAGES = 12
ARRAYS = [np.array([float(stage)]) for stage in range(1, STAGES)]


class Counted:
    """Arrays that tell which were worked out."""

    def __init__(self, more: float = 0.0) -> None:
        self.more, self.made = more, list[list[int]]()

    def __call__(self, stages: Sequence[int]) -> list[Array]:
        self.made.append(list(stages))
        return [ARRAYS[stage - 1] + self.more for stage in stages]


@pytest.fixture(params=[1, 2, 5, 12, 512])
def block(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> int:
    monkeypatch.setattr(stage_arrays, "BLOCK", request.param)
    return int(request.param)


@pytest.mark.usefixtures("block")
def test_every_stage_but_the_first_has_its_array_in_either_direction() -> None:
    found = StageArrays(STAGES, Counted())
    assert [array[0] for array in found] == list(range(1, STAGES))
    assert [array[0] for array in reversed(found)] == list(range(STAGES - 1, 0, -1))
    assert [found[stage][0] for stage in (3, 1, 11)] == [3, 1, 11]
    assert [array[0] for array in found.each(lambda some, _: [2 * array for array in some])] == list(range(2, 24, 2))
    assert [*StageArrays(1, Counted())] == []
    assert [*reversed(StageArrays(0, Counted()))] == []


def test_a_block_is_worked_out_once_until_too_many_are_known(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(stage_arrays, "BLOCK", 4)
    monkeypatch.setattr(stage_arrays, "REMEMBERED", 2)
    make = Counted()
    found = StageArrays(STAGES, make)
    _ = found[1], found[3], found[4], found[2]
    assert make.made == [[1, 2, 3], [4, 5, 6, 7]]
    _ = found[8], found[1]
    assert make.made[2:] == [[8, 9, 10, 11], [1, 2, 3]]


def test_what_a_change_does_not_touch_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(stage_arrays, "BLOCK", 4)
    found = StageArrays(STAGES, Counted())
    _ = [*found]
    make = Counted(100.0)
    other = found.changed(StageArrays(STAGES, make), [0, 1, 5, 6])
    assert [array[0] for array in other] == [101, 2, 3, 4, 105, 106, 7, 8, 9, 10, 11]
    assert make.made == [[1], [5, 6]]


@pytest.mark.usefixtures("block")
@pytest.mark.parametrize("slow", [0.0, 0.5])
def test_a_search_does_not_depend_on_the_blocks(slow: float) -> None:
    chance = np.random.default_rng(5)
    holds = [chance.integers(0, 9, 3).astype(float) for _ in range(STAGES)]
    ways = [chance.integers(0, 9, (3, 3)).astype(float) for _ in range(STAGES - 1)]
    alike = [np.arange(3)] * STAGES
    temperature = temperatures(np.arange(STAGES) % 3 * slow)
    plain = agree(holds, ways, alike, temperature)
    cut = agree(holds, StageArrays.of(ways), alike, temperature)
    assert cut.path == plain.path
    assert all((a == b).all() for a, b in zip(cut.doubted, plain.doubted, strict=True))
    holds[5] = holds[5] + np.array([0.0, 4.0, 9.0])
    again = cut.changed(holds, StageArrays.of(ways), alike, [5])
    anew = agree(holds, ways, alike, temperature)
    assert again.path == anew.path
    assert all((a == b).all() for a, b in zip(again.doubted, anew.doubted, strict=True))
    assert any((a != b).any() for a, b in zip(again.doubted, plain.doubted, strict=True))


def test_an_agreement_without_a_change_is_itself() -> None:
    holds, ways = [np.zeros(2), np.ones(2)], StageArrays.of([np.eye(2)])
    alike = [np.arange(2)] * 2
    known = agree(holds, ways, alike)
    assert known.changed(holds, ways, alike, []) is known
