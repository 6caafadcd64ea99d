"""What is to be practised: the shifts of a plan, alike ones together, in the order of practice; and its positions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

from ...hand.grip import HOME_POSITION, Stop, stops_for
from ...hand.level import ShiftKind
from ...music.bar_numbers import bar_number
from ...music.key import Key
from ...music.metre import Meter, bar_length
from ...music.passage import Technique
from ...plan.plan import FingeredNote, Plan, Shift
from ..drills.move import Move
from ..scale_tones import key_of
from ..sheet import Tone


@dataclass(frozen=True, slots=True)
class Task:
    """Shifts that are alike, practised once."""

    move: Move
    shifts: tuple[Shift, ...]


def tasks(plan: Plan, chosen: Iterable[int] | None = None) -> tuple[Task, ...]:
    """Return the shifts of a plan, alike ones together, in the order of practice.

    Out comes before home, then what leads from first position or to it, then near before far, then the commonest
    (common practice): the hand is led to a position before it goes on from there.

    Args:
        plan: the plan.
        chosen: numbers (from 0) of the excursions to practise; None for all.

    Raises:
        IndexError: if there is no excursion of that number.
    """
    groups: dict[tuple[object, ...], list[tuple[Move, Shift]]] = {}
    for shift in _chosen_shifts(plan, chosen):
        move = move_of(plan, shift)
        groups.setdefault(_likeness(move), []).append((move, shift))
    for likeness in [likeness for likeness, members in groups.items() if not members[0][0].is_home]:
        # The way home on the same fingers is practised with the way out: there and back.
        groups[likeness] += groups.pop(_likeness(_reversed(groups[likeness][0][0])), [])
    found = [Task(members[0][0], tuple(shift for _, shift in members)) for members in groups.values()]
    return tuple(sorted(found, key=_order))


def commonest(
    found: Collection[Task], most: int | None, last: Collection[Task] = ()
) -> tuple[tuple[Task, ...], tuple[Task, ...]]:
    """Return at most so many tasks, those that occur most often, in the order of practice; and what is left out.

    Those in `last` come behind all others.
    """
    ranked = sorted(found, key=lambda task: (task in last, -len(task.shifts)))[:most]
    return tuple(task for task in found if task in ranked), tuple(task for task in found if task not in ranked)


def by_way(found: Iterable[Task]) -> tuple[tuple[Task, ...], ...]:
    """Return the tasks that lead the same way between the same positions together, in their order."""
    groups: dict[tuple[object, ...], list[Task]] = {}
    for task in found:
        groups.setdefault((task.move.start, task.move.goal, task.move.kind), []).append(task)
    return tuple(map(tuple, groups.values()))


def bars_in(plan: Plan, found: Iterable[Task]) -> tuple[str, ...]:
    """Return the bars (numbers as printed) in which the hand arrives by some tasks."""
    arrivals = sorted(shift.arrival for task in found for shift in task.shifts)
    return tuple(dict.fromkeys(bar_number(plan.passage, plan.event(event).measure) for event in arrivals))


def chosen_excursions(plan: Plan, chosen: Iterable[int] | None) -> tuple[int, ...]:
    """Return the numbers of the excursions to practise, in the order of the piece.

    Raises:
        IndexError: if there is no excursion of that number.
    """
    count = len(plan.excursions)
    if chosen is None:
        return tuple(range(count))
    for number in chosen:
        if not 0 <= number < count:
            raise IndexError(f"the plan has {count} excursions, not one of number {number}")
    return tuple(sorted(set(chosen)))


def _chosen_shifts(plan: Plan, chosen: Iterable[int] | None) -> list[Shift]:
    if chosen is None:
        return list(plan.shifts)
    wanted = {shift.arrival for number in chosen_excursions(plan, chosen) for shift in plan.excursions[number].shifts}
    return [shift for shift in plan.shifts if shift.arrival in wanted]


def _order(task: Task) -> tuple[object, ...]:
    move = task.move
    away, home = abs(move.start - HOME_POSITION), abs(move.goal - HOME_POSITION)
    return move.is_home, min(away, home), abs(move.goal - move.start), min(move.start, move.goal), -len(task.shifts)


def _likeness(move: Move) -> tuple[object, ...]:
    return (
        move.kind, move.start, move.goal, move.departure.finger, move.departure.string, move.arrival.finger,
        move.arrival.string,
    )  # fmt: skip


def _reversed(move: Move) -> Move:
    return replace(move, start=move.goal, goal=move.start, departure=move.arrival, arrival=move.departure)


def move_of(plan: Plan, shift: Shift) -> Move:
    """Return a shift as it is practised."""
    measure = plan.passage.measures[plan.event(shift.arrival).measure]
    meter = measure.time_signature if bar_length(measure.time_signature) >= 1 else (4, 4)
    key = piece_key(plan, measure.fifths)
    left, reached = _leading(_stopped(plan, shift.departure), _stopped(plan, shift.arrival))
    departure, arrival = _tone(plan, shift.departure, left), _tone(plan, shift.arrival, reached)
    kind, guide, lead = shift.kind, None, None
    if kind is ShiftKind.GUIDE_FINGER and (left.finger, left.string) == (reached.finger, reached.string):
        kind = ShiftKind.SAME_FINGER
    elif shift.guide and shift.guide_pitch is not None:
        guide = Tone(shift.guide_pitch, shift.guide, shift.guide_string)
        if (guide.finger, guide.string) == (reached.finger, reached.string) and shift.guide_start is not None:
            lead = Tone(shift.guide_start, shift.guide, shift.guide_string)
    between = None
    for index in range(shift.departure + 1, shift.arrival):
        grip = plan.grip(index)
        if shift.kind is ShiftKind.OPEN_STRING and grip is not None and grip.is_open:
            between = _tone(plan, index, grip.stops[-1])
    return Move(
        plan.passage.instrument, key, meter, kind, shift.start, shift.goal, departure, arrival, guide, lead,
        between,
        may_slur=ShiftKind.SLUR in plan.level.shifts, is_slurred=shift.slurred,
    )  # fmt: skip


def piece_key(plan: Plan, fifths: int) -> Key:
    """Return the key of a signature in this piece, judged by the notes under it."""
    under = (event for event in plan.passage.events if plan.passage.measures[event.measure].fifths == fifths)
    return key_of(fifths, [(note.pitch, event.beats) for event in under for note in event.notes])


def bars_played(plan: Plan, chosen: Iterable[int], position: int | None = None) -> frozenset[int]:
    """Return the bars (by index) of the chosen excursions, or those in one position; all bars if there are none."""
    played = (index for number in chosen for index in plan.excursions[number].events)
    if position is not None:
        played = (index for index in played if (grip := plan.grip(index)) is not None and grip.position == position)
    return frozenset(plan.event(index).measure for index in played) or frozenset(range(len(plan.passage.measures)))


def key_in(plan: Plan, bars: Collection[int]) -> Key:
    """Return the key that holds for most notes of some bars."""
    events = (event for event in plan.passage.events if event.measure in bars)
    fifths = Counter(plan.passage.measures[event.measure].fifths for event in events)
    return piece_key(plan, fifths.most_common(1)[0][0] if fifths else 0)


def meter_in(plan: Plan, bars: Collection[int]) -> Meter:
    """Return the metre of most of some bars; four quarters where it is too short to practise in."""
    measures = (measure for index, measure in enumerate(plan.passage.measures) if index in bars)
    meters = Counter(measure.time_signature for measure in measures if measure.beats > 0)
    meter = meters.most_common(1)[0][0] if meters else (4, 4)
    return meter if bar_length(meter) >= 1 else (4, 4)


def positions(plan: Plan, chosen: Iterable[int]) -> tuple[int, ...]:
    """Return the positions away from first that the chosen excursions use, nearest to the nut first."""
    return tuple(sorted({span.position for number in chosen for span in plan.excursions[number].spans}))


def strings_in(plan: Plan, position: int) -> tuple[int, ...]:
    """Return the strings that the piece stops in a position, the most used first."""
    used: Counter[int] = Counter()
    for fingered in plan.fingered_notes:
        if fingered.position == position and fingered.stop is not None and not fingered.stop.is_open:
            used[fingered.stop.string] += 1
    return tuple(string for string, _ in sorted(used.items(), key=lambda item: (-item[1], item[0])))


def tone_of(fingered: FingeredNote) -> Tone:
    """Return a note of the piece as it is practised; it must have a stop."""
    stop = fingered.stop
    harmonic = Technique.NATURAL_HARMONIC in fingered.note.techniques
    return Tone(fingered.note.pitch, stop.finger if stop else None, stop.string if stop else None, harmonic=harmonic)


def _stopped(plan: Plan, event: int) -> list[Stop]:
    """The stops of a grip; of a chord those that the hand has in its position, if it has any."""
    grip = plan.grip(event)
    if grip is None:
        return []
    stops = [stop for stop in grip.stops if not stop.is_open]
    return [stop for stop in stops if lies_in(plan, stop, grip.position)] or stops


def lies_in(plan: Plan, stop: Stop, position: int) -> bool:
    """Return True if a finger by itself takes its note in a position; in a wide chord another one may not."""
    instrument = plan.passage.instrument
    return any(
        stop == other and position in reached for other, reached in stops_for(stop.pitch(instrument), instrument)
    )


def _leading(departure: list[Stop], arrival: list[Stop]) -> tuple[Stop, Stop]:
    """The stops of two grips that are practised: the lowest finger that stays on its string, else the upper notes."""
    same = [
        (left, reached)
        for left in departure
        for reached in arrival
        if (left.finger, left.string) == (reached.finger, reached.string)
    ]
    if same:
        return min(same, key=lambda pair: pair[0].finger)
    return departure[-1], arrival[-1]


def _tone(plan: Plan, event: int, stop: Stop) -> Tone:
    """The note that a stop sounds; a natural harmonic keeps the pitch that it sounds."""
    for note in plan.event(event).notes:
        if plan.by_note[note.id].stop == stop and Technique.NATURAL_HARMONIC in note.techniques:
            return Tone(note.pitch, stop.finger, stop.string, harmonic=True)
    return Tone(stop.pitch(plan.passage.instrument), stop.finger, stop.string)


__all__ = [
    "Task",
    "bars_in",
    "bars_played",
    "by_way",
    "chosen_excursions",
    "commonest",
    "key_in",
    "lies_in",
    "meter_in",
    "move_of",
    "piece_key",
    "positions",
    "strings_in",
    "tasks",
    "tone_of",
]
