"""Excursions weighed: alone, and together where the same music returns."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence

import pytest

from rules import (
    ALL,
    FIRST,
    FIRST_AND_THIRD,
    Excursion,
    Passage,
    Plan,
    Reason,
    cheapest_route,
    propose,
    repeats,
)
from rules.proposal import (
    proposal,
)
from rules.proposal.verdict import EFFORT_THAT_PAYS, ExcursionVerdict, unprofitable_ends, weigh
from tests.notation import read_passage

SCALE = ("D4", "E4", "F#4", "G4", "A4", "B4", "C#5", "D5", "E5", "F#5", "G5", "A5", "B5")


def passage_with_a_returning_theme(seed: int, scale: Sequence[str] = SCALE) -> Passage:
    """A theme in quarters and eighths that comes twice, after different music each time."""
    dice = random.Random(seed)

    def line(count: int, low: int) -> str:
        notes = []
        at = dice.randrange(low, len(scale))
        for _ in range(count):
            at = min(max(at + dice.choice((-3, -2, -1, 1, 2, 3)), low), len(scale) - 1)
            notes.append(f"{scale[at]}:{dice.choice(('1/2', '1/2', '1', '2'))}")
        return " ".join(notes)

    theme = line(12, 5)
    return read_passage(f"{line(5, 0)} {theme} {line(5, 0)} {theme} {line(3, 0)}", fifths=2)


def saving_nothing(_excursion: Excursion) -> float:
    return 0.0


def verdicts(passage: Passage, pooled: bool = True) -> tuple[ExcursionVerdict, ...]:
    """The excursions of the cheapest plan, nothing taken back."""
    home, plan = (Plan(passage, level, cheapest_route(passage, level)) for level in (FIRST, FIRST_AND_THIRD))
    return weigh(home, plan, (lambda: repeats(passage)) if pooled else tuple, saving_nothing)


def the_same(one: Excursion, other: Excursion, passage: Passage) -> bool:
    """True if both begin, or both end, at the same place of music that returns."""
    return any(
        r.exact and r.earlier <= a < r.earlier + r.length and b - a == r.later - r.earlier
        for r in repeats(passage)
        for a, b in ((one.first, other.first), (one.last, other.last))
    )


def test_the_same_excursion_pays_wherever_its_music_returns_or_nowhere() -> None:
    seen: Counter[str] = Counter()
    for seed in range(150, 950):
        passage = passage_with_a_returning_theme(seed)
        together, alone = verdicts(passage), verdicts(passage, pooled=False)
        for i, one in enumerate(together):
            for j, other in enumerate(together):
                if i != j and the_same(one.excursion, other.excursion, passage):
                    assert bool(one.reasons) == bool(other.reasons), seed
                    seen["changed" if bool(alone[i].reasons) != bool(alone[j].reasons) else "as it was"] += 1
    assert seen["changed"] >= 3
    assert seen["as it was"] >= 3


def test_an_excursion_is_weighed_by_itself_where_nothing_returns() -> None:
    passage = read_passage("G5:1 A5:1 B5:1 C6:1 | D6:2 C6:1 B5:1 | C6:1 D6:1 B5:1 A5:1 | G5:4")
    (found,) = verdicts(passage)
    assert found.reasons[0] is Reason.REACH
    assert verdicts(passage, pooled=False) == (found,)


def test_who_knows_the_whole_fingerboard_needs_no_figure_that_falls() -> None:
    for seed in range(20):
        passage = passage_with_a_returning_theme(seed)
        home, plan = (Plan(passage, level, cheapest_route(passage, level)) for level in (FIRST, ALL))
        for found in weigh(home, plan, tuple, saving_nothing):
            before, after = found.before.as_mapping(), found.after.as_mapping()
            falls = any(before[name] > after[name] for name in before if name != "shifts")
            assert (found.reasons == (Reason.EASE,)) is not falls


def test_an_excursion_that_spares_hand_or_tone_too_little_to_show_pays_by_the_effort_it_saves() -> None:
    seen: Counter[bool] = Counter()
    for seed in range(200):
        passage = passage_with_a_returning_theme(seed, (*SCALE[4:], "C6"))
        home, plan = (Plan(passage, level, cheapest_route(passage, level)) for level in (FIRST, FIRST_AND_THIRD))
        without = weigh(home, plan, tuple, saving_nothing)
        with_effort = weigh(home, plan, tuple, lambda _excursion: EFFORT_THAT_PAYS)
        for one, other in zip(without, with_effort, strict=True):
            before, after = one.before, one.after
            ease = [before.stretches - after.stretches, before.hops - after.hops, before.slides - after.slides]
            assert other.reasons or not (one.reasons or sum(ease) > 0)
            assert one.reasons or not other.reasons or {Reason.HAND, Reason.TONE} & set(other.reasons)
            seen[bool(other.reasons) and not one.reasons] += 1
    assert seen[True] >= 3
    assert seen[False] >= 3


HIGH = "C6:1/2 D6 C6 D6 E6 D6 C6 D6"


def ends(notes: str) -> list[range]:
    """The ends that do not pay of the only excursion of a plan of which nothing has been taken back."""
    passage = read_passage(notes, fifths=2)
    home, plan = (Plan(passage, level, cheapest_route(passage, level)) for level in (FIRST, FIRST_AND_THIRD))
    (excursion,) = plan.excursions
    return list(unprofitable_ends(home, plan, excursion))


def test_an_end_that_gains_nothing_is_left_to_first_position_where_a_rest_lies_between() -> None:
    """The hand can move over the rest as well (common practice)."""
    for seed in range(60):
        dice = random.Random(seed)
        easy = " ".join(dice.choice(("B4", "C#5", "D5")) + ":1/2" for _ in range(6))
        planned = propose(read_passage(f"{easy} R:2 {HIGH} R:2 {easy} B3:1 A3 G3", fifths=2), FIRST_AND_THIRD)
        (found,) = planned.proposals
        assert found.excursion.first == 6
        assert found.excursion.last == 13


def test_what_first_position_lacks_is_no_idle_end() -> None:
    assert ends(f"{HIGH} R:2 {HIGH}") == []


def test_a_part_played_anywhere_has_no_idle_ends() -> None:
    passage = read_passage(f"D5:1 E5 R:2 {HIGH}", fifths=2)
    home, plan = (Plan(passage, level, cheapest_route(passage, level)) for level in (FIRST, ALL))
    assert [end for excursion in plan.excursions for end in unprofitable_ends(home, plan, excursion)] == []


def test_an_excursion_for_reach_does_not_pay_for_the_same_notes_where_nothing_is_lacking() -> None:
    """The theme returns, once with notes above first position after it: only there the hand has to go up."""
    theme = "G4:1 B4 D5 E5"
    passage = read_passage(f"{theme} R:2 {theme} {HIGH}", fifths=2)
    pays_by_place = {verdict.excursion.first >= 4: bool(verdict.reasons) for verdict in verdicts(passage)}
    assert pays_by_place.get(True)
    assert not pays_by_place.get(False, False)


def test_an_end_left_to_first_position_is_so_wherever_its_music_returns(monkeypatch: pytest.MonkeyPatch) -> None:
    """The second time the hand could move over the rest before it: nevertheless it does as it did the first time."""
    kept = proposal._where_repeated
    unlike = Counter[bool]()
    for seed in range(30, 75):
        dice = random.Random(seed)
        head, high, low = (
            " ".join(f"{dice.choice(names)}:1/2" for _ in range(count))
            for names, count in ((SCALE[3:11], 11), (("A5", "B5", "C#6", "D6"), 6), (("G3", "B3", "D4", "E4"), 5))
        )
        passage = read_passage(f"{head} {high} {low} R:4 {head} {high} {low}", fifths=2)
        for again in (True, False):
            monkeypatch.setattr(proposal, "_where_repeated", kept if again else lambda _planned, _ends: iter(()))
            grips = propose(passage, FIRST_AND_THIRD).plan.grips
            unlike[again] += sum(grips[i] != grips[i + 22] for i in range(10))
    assert unlike[True] < unlike[False]
