"""Why an excursion is proposed: figures of the plan beside those of first position."""

from __future__ import annotations

import random
from collections import Counter

from rules import ALL, FIRST, FIRST_AND_THIRD, Excursion, Level, Passage, Plan, Reason, cheapest_route, propose, repeats
from rules.plan.counted_figures import Figures, figures
from rules.proposal import verdict
from rules.proposal.verdict import ExcursionVerdict, verdicts
from tests.notation import read_passage

SCALE = ("D4", "E4", "F#4", "G4", "A4", "B4", "C#5", "D5", "E5", "F#5", "G5", "A5", "B5")
HIGH = "C6:1/2 D6 C6 D6 E6 D6 C6 D6"


def judged(passage: Passage, level: Level = FIRST_AND_THIRD) -> tuple[ExcursionVerdict, ...]:
    home, plan = (Plan(passage, at, cheapest_route(passage, at)) for at in (FIRST, level))
    return verdicts(home, plan, lambda: repeats(passage))


def wandering(seed: int) -> Passage:
    """Quarters and eighths up and down a scale, with a theme that comes twice."""
    dice = random.Random(seed)
    scale = (*SCALE, "C#6", "D6")

    def line(count: int) -> str:
        at, notes = dice.randrange(len(scale)), []
        for _ in range(count):
            at = min(max(at + dice.choice((-3, -2, -1, 1, 2, 3)), 0), len(scale) - 1)
            notes.append(f"{scale[at]}:{dice.choice(('1/2', '1/2', '1', '2'))}")
        return " ".join(notes)

    theme = line(12)
    return read_passage(f"{line(5)} {theme} {line(5)} {theme} {line(3)}", fifths=2)


def uneasy(counted: Figures) -> int:
    return counted.stretches + counted.hops + counted.slides


def test_a_note_out_of_reach_is_the_first_reason() -> None:
    (found,) = judged(read_passage("G5:1 A5:1 B5:1 C6:1 | D6:2 C6:1 B5:1 | C6:1 D6:1 B5:1 A5:1 | G5:4"))
    assert found.reasons[0] is Reason.REACH
    assert found.before.unreachable > found.after.unreachable == 0


def test_every_excursion_has_a_reason_and_each_counted_reason_a_figure_that_falls() -> None:
    seen: Counter[Reason] = Counter()
    for seed in range(120):
        for found in judged(wandering(seed), ALL if seed % 2 else FIRST_AND_THIRD):
            before, after = found.before, found.after
            falls = {
                Reason.REACH: before.unreachable > after.unreachable,
                Reason.CROSSINGS: before.crossings + before.skips > after.crossings + after.skips,
                Reason.TONE: before.held_weak != after.held_weak,
                Reason.HAND: before.stretches + before.hops + before.slides
                > after.stretches + after.hops + after.slides,
            }
            assert found.reasons
            assert all(falls.get(reason, True) for reason in found.reasons), seed
            seen.update(found.reasons)
    assert seen[Reason.REACH] >= 3
    assert seen[Reason.CROSSINGS] >= 3


def test_figures_are_those_of_the_two_plans() -> None:
    passage = wandering(3)
    planned = propose(passage, FIRST_AND_THIRD)
    assert planned.proposals
    for proposal in planned.proposals:
        first, last = proposal.excursion.first, proposal.excursion.last
        assert proposal.before == figures(planned.home, first, last)
        assert proposal.after == figures(planned.plan, first, last)


def test_where_nothing_falls_the_reason_is_the_repeat_or_else_ease() -> None:
    """An excursion made only because the same music is played so elsewhere says so."""
    theme = "A4:1 B4 C#5 D5 E5 F#5 G5 E5"
    passage = read_passage(f"{theme} {theme}", fifths=2)
    home = Plan(passage, FIRST, cheapest_route(passage, FIRST))
    gained = ExcursionVerdict(Excursion(0, 7, (), ()), figures(home), figures(home), (Reason.CROSSINGS,))
    bare = ExcursionVerdict(Excursion(8, 15, (), ()), figures(home), figures(home), ())
    inside = set(gained.excursion.events)
    assert verdict._without_figures(bare, inside, repeats(passage)) is Reason.AGAIN
    assert verdict._without_figures(bare, set(), repeats(passage)) is Reason.EASE
    assert verdict._without_figures(bare, inside, ()) is Reason.EASE


def test_the_reason_of_what_returns_may_come_from_what_follows() -> None:
    theme = "A4:1 B4 C#5 D5 E5 F#5 G5 E5"
    passage = read_passage(f"D4:2 F#4 {theme} {theme}", fifths=2)
    (repeat,) = [found for found in repeats(passage) if found.exact]
    assert repeat.earlier > 0
    plan = Plan(passage, FIRST, cheapest_route(passage, FIRST))
    first = Excursion(repeat.earlier, repeat.earlier + repeat.length - 1, (), ())
    bare = ExcursionVerdict(first, figures(plan), figures(plan), ())
    later = set(range(repeat.later, repeat.later + repeat.length))
    assert verdict._without_figures(bare, later, repeats(passage)) is Reason.AGAIN
    assert verdict._without_figures(bare, {repeat.later - 1}, repeats(passage)) is Reason.EASE
    assert verdict._without_figures(bare, set(), repeats(passage)) is Reason.EASE


def test_the_hand_comes_home_over_a_rest_before_what_lies_low() -> None:
    """The hand can move over the rest (common practice)."""
    for seed in range(60):
        dice = random.Random(seed)
        easy = " ".join(dice.choice(("B4", "C#5", "D5")) + ":1/2" for _ in range(6))
        planned = propose(read_passage(f"{easy} R:2 {HIGH} R:2 {easy} B3:1 A3 G3", fifths=2), FIRST_AND_THIRD)
        (found,) = planned.proposals
        assert found.excursion.first == 6
        assert found.excursion.last == 13


def test_what_returns_is_fingered_alike_by_a_learner() -> None:
    """Inside what returns note by note; its edges belong to what leads in and out."""
    unlike = 0
    for seed in range(40):
        passage = wandering(seed)
        grips = propose(passage, FIRST_AND_THIRD).plan.grips
        unlike += sum(
            grips[r.earlier + i] != grips[r.later + i]
            for r in repeats(passage)
            if r.exact
            for i in range(2, r.length - 2)
        )
    assert unlike <= 12
