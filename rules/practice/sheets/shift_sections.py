"""The shifts of a plan as sections of a sheet: those that lead the same way together, each with its drills."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from ...hand.level import ShiftKind
from ...plan.plan import Plan
from ...text import Text, counted, english, joined, listed
from ..drills.light_drills import on_a_harmonic, without_bow
from ..drills.move import Move
from ..drills.position_drills import between
from ..drills.rhythm_drills import in_rhythms
from ..drills.scale_drills import along_the_string, through_the_shift
from ..drills.shift_drills import check_with_open_string, hand_alone, in_one_bow, over_open_string, with_guide
from ..drills.study import study
from ..sheet import Exercise, Need, Section
from .piece_style import figures_of, rhythm_of
from .sheet_size import needed
from .tasks import Task, bars_in, by_way

KIND_WORDS = {
    ShiftKind.SAME_FINGER: english("on the same finger"),
    ShiftKind.GUIDE_FINGER: english("with a guide finger"),
    ShiftKind.OPEN_STRING: english("over an open string"),
    ShiftKind.REST: english("during a rest"),
    ShiftKind.BOW_CHANGE: english("at a bow change"),
    ShiftKind.SLUR: english("under a slur"),
}
WHILE_LEFT_OUT = english("while notes beyond the level are left out")
ASK_FIRST = english("The piece asks for it, though it lies beyond the level: ask your teacher first.")


def shift_sections(plan: Plan, found: Iterable[Task]) -> Iterator[Section]:
    """Yield a section for each way between two positions: what is drilled with another shift is not drilled again."""
    done: set[object] = set()
    for number, group in enumerate(by_way(found), start=1):
        move = group[0].move
        heading = english(
            "Shift {number}: {positions} {kind}",
            number=number,
            positions=between(move.start, move.goal),
            kind=_kind_words(plan, group),
        )
        exercises = [_weighed(_drills(plan, task, done), is_first=task is group[0]) for task in group]
        times = sum(len(task.shifts) for task in group)
        about = _times_line(times, bars_in(plan, group))
        if not _is_known(plan, move):
            about = joined((ASK_FIRST, about))
        if len(group) == 1:
            yield Section(heading, joined((fingers_line(move), about)), tuple(exercises[0]), weight=float(times))
            continue
        named = [_named(task, drills) for task, drills in zip(group, exercises, strict=True)]
        yield Section(heading, about, tuple(exercise for drills in named for exercise in drills), weight=float(times))


def _weighed(drills: list[Exercise], is_first: bool) -> list[Exercise]:
    """The drills of one shift, each with how much it is needed: once for a way, less for its other fingers."""
    if is_first:
        return drills
    return [replace(each, need=Need.CORE if each.need is Need.ALWAYS else Need.VARIANT) for each in drills]


def _kind_words(plan: Plan, group: Sequence[Task]) -> Text:
    """How the shifts of a way are made; where notes are left out meanwhile, that is no rest of the piece."""
    ways = [plan.between(shift.departure, shift.arrival) for task in group for shift in task.shifts]
    if all(way.rest is None and way.left_out for way in ways):
        return WHILE_LEFT_OUT
    return KIND_WORDS[group[0].move.kind]


def _drills(plan: Plan, task: Task, done: set[object]) -> list[Exercise]:
    """The drills of one shift; `done` is what other shifts have drilled already, and grows."""
    move = task.move
    if not _is_known(plan, move):
        return [hand_alone(move)]
    steps = needed(Need.HELPFUL, [_once("silent", move, without_bow(move), done)])
    if _is_new(("harmonic", move.start, move.goal, move.arrival.string), done):
        steps += needed(Need.VARIANT, [on_a_harmonic(move)])
    steps += [hand_alone(move), *needed(Need.CORE, [with_guide(move)])]
    if _is_new(("check", move.arrival), done):
        steps += needed(Need.CORE, [check_with_open_string(move)])
    for name, need, drill in (
        ("open", Need.VARIANT, over_open_string(move)),
        ("bow", Need.VARIANT, in_one_bow(move)),
        ("rhythms", Need.HELPFUL, in_rhythms(move)),
    ):
        steps += needed(need, [_once(name, move, drill, done)])
    if not move.is_home and _is_new(("scale", move.start, move.goal, move.arrival.string), done):
        steps += needed(Need.VARIANT, [_scale_with_shift(move)])
    if not move.is_home and _is_new(("study", move.start, move.goal), done):
        steps += needed(Need.HELPFUL, [study(move, rhythm_of(plan, task), *figures_of(plan, task))])
    return steps


def _once(name: str, move: Move, drill: Exercise | None, done: set[object]) -> Exercise | None:
    """The drill, unless the same way has had one on other fingers: what it teaches is the way."""
    return drill if drill is not None and _is_new((name, move.start, move.goal, move.kind), done) else None


def _is_known(plan: Plan, move: Move) -> bool:
    """Whether the level has both positions."""
    return {move.start, move.goal} <= plan.level.positions


def _is_new(what: object, done: set[object]) -> bool:
    """Whether something has not been done; from now on it has."""
    if what in done:
        return False
    done.add(what)
    return True


def _named(task: Task, drills: Sequence[Exercise]) -> Iterator[Exercise]:
    """The drills, with the fingers of their shift before the text of the first."""
    first, *others = drills
    yield replace(first, text=joined((fingers_line(task.move), first.text)))
    yield from others


def _scale_with_shift(move: Move) -> Exercise | None:
    """The scale through the shift; where none goes from tonic to tonic, its beginning along the string."""
    place = (move.instrument, move.key, move.start, move.goal, move.arrival.string or 1, move.meter)
    return through_the_shift(*place) or along_the_string(*place)


def shift_line(plan: Plan, group: Sequence[Task]) -> Text:
    """Return shifts of one way with their bars in words: `first to third position on the same finger, in bar 9`."""
    move = group[0].move
    return english(
        "{positions} {kind}, {in_bars}",
        positions=between(move.start, move.goal),
        kind=_kind_words(plan, group),
        in_bars=bars_line(bars_in(plan, group)),
    )


def bars_line(bars: tuple[str, ...]) -> Text:
    """Return bars in words: `in bar 9`, `in bars 9, 18 and 27`."""
    if len(bars) == 1:
        return english("in bar {number}", number=bars[0])
    return english("in bars {numbers}", numbers=listed(bars))


def fingers_line(move: Move) -> Text:
    """Return from which finger to which, on which strings."""
    name = move.instrument.string_name
    start, goal = name(move.departure.string or 1), name(move.arrival.string or 1)
    left, reached = move.departure.finger or 0, move.arrival.finger or 0
    if start == goal:
        return english(
            "From finger {left} to finger {reached} on string {string}.", left=left, reached=reached, string=start
        )
    return english(
        "From finger {left} on string {start} to finger {reached} on string {goal}.",
        left=left,
        start=start,
        reached=reached,
        goal=goal,
    )


def _times_line(count: int, bars: tuple[str, ...]) -> Text:
    line = bars_line(bars)
    if count == _TWICE:
        return english("It occurs twice, {in_bars}.", in_bars=line)
    return counted("It occurs once, {in_bars}.", "It occurs {n} times, {in_bars}.", count, in_bars=line)


_TWICE = 2

__all__ = ["ASK_FIRST", "bars_line", "fingers_line", "shift_line", "shift_sections"]
