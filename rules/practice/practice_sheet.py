"""The practice sheet for a plan: which shifts are practised, in which order, with which exercises.

What belongs here: grouping alike shifts and putting the sheet together. What does not: the single exercises (see the
`exercises_` modules), tunes for a player without a piece (see `progressive`), files.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from ..hand.grip import HOME_POSITION, Grip, Stop
from ..hand.level import ShiftKind
from ..music.key import Key
from ..music.metre import Meter
from ..plan.plan import Plan, Shift
from .barring import bar_length
from .exercises_passage import how_it_sounds, in_context, in_new_position, passage_bars
from .exercises_scale import along_the_string, open_strings, place_name, position_page
from .exercises_shift import Move, exercises
from .scale_tones import key_of
from .sheet import CAUTIONS, Exercise, Section, Sheet, Tone, with_string_marks

_KIND_WORDS = {
    ShiftKind.SAME_FINGER: "on the same finger",
    ShiftKind.GUIDE_FINGER: "with a guide finger",
    ShiftKind.OPEN_STRING: "over an open string",
    ShiftKind.REST: "during a rest",
    ShiftKind.BOW_CHANGE: "at a bow change",
    ShiftKind.SLUR: "under a slur",
}


@dataclass(frozen=True, slots=True)
class Task:
    """Shifts that are alike, practised once: how, and where they occur."""

    move: Move
    shifts: tuple[Shift, ...]
    bars: tuple[str, ...]


def tasks(plan: Plan, chosen: Iterable[int] | None = None) -> tuple[Task, ...]:
    """Return the shifts of a plan, alike ones together, the commonest first.

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
    for likeness in [likeness for likeness, members in groups.items() if members[0][0].goal > members[0][0].start]:
        # The way home on the same fingers is practised with the way out: there and back.
        groups[likeness] += groups.pop(_likeness(_reversed(groups[likeness][0][0])), [])
    found = [
        Task(
            members[0][0],
            tuple(shift for _, shift in members),
            tuple(
                dict.fromkeys(plan.passage.label(plan.event(event)) for event in sorted(s.arrival for _, s in members))
            ),
        )
        for members in groups.values()
    ]
    # Equally common shifts keep the order of the piece.
    return tuple(sorted(found, key=lambda task: -len(task.shifts)))


def _chosen_shifts(plan: Plan, chosen: Iterable[int] | None) -> list[Shift]:
    if chosen is None:
        return list(plan.shifts)
    excursions = plan.excursions
    wanted: set[int] = set()
    for number in chosen:
        if not 0 <= number < len(excursions):
            raise IndexError(f"the plan has {len(excursions)} excursions, not one of number {number}")
        wanted |= {shift.arrival for shift in excursions[number].shifts}
    return [shift for shift in plan.shifts if shift.arrival in wanted]


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
    key = piece_key(plan, measure.fifths)
    arrival = _tone(plan, _leading(plan.grip(shift.arrival)))
    left = plan.grip(shift.departure)
    departure = _tone(plan, _leading(left))
    guide = None
    if shift.guide and shift.guide_pitch is not None:
        guide = Tone(shift.guide_pitch, shift.guide, shift.guide_string)
    between = None
    for index in range(shift.departure + 1, shift.arrival):
        grip = plan.grip(index)
        if shift.kind is ShiftKind.OPEN_STRING and grip is not None and grip.is_open:
            between = _tone(plan, grip.stops[-1])
    return Move(
        plan.passage.instrument, key, measure.time_signature, shift.kind, shift.start, shift.goal, departure, arrival,
        guide, between,
    )  # fmt: skip


def piece_key(plan: Plan, fifths: int) -> Key:
    """Return the key of a signature in this piece."""
    events = plan.passage.events
    return key_of(fifths, events[-1].notes[0].pitch if events and events[-1].notes else None)


def _leading(grip: Grip | None) -> Stop:
    if grip is None:
        raise ValueError("a shift leads from a stopped note to a stopped note")
    return next(stop for stop in reversed(grip.stops) if not stop.is_open)


def _tone(plan: Plan, stop: Stop) -> Tone:
    pitch = plan.passage.instrument.open_pitch(stop.string).transposed(stop.letters, stop.semitones)
    return Tone(pitch, stop.finger, stop.string)


def practice_sheet(plan: Plan, title: str, chosen: Iterable[int] | None = None, most: int | None = None) -> Sheet:
    """Return the practice sheet for a plan, or for chosen excursions of it.

    Args:
        plan: what is to be learned.
        title: of the piece.
        chosen: numbers (from 0) of the excursions to practise; None for all.
        most: at most so many kinds of shift, the commonest; None for all.

    Raises:
        IndexError: if there is no excursion of that number.
    """
    every = tasks(plan, chosen)
    found = every[:most]
    sections = [warm_up(plan, found)]
    sections += _position_sections(plan, found)
    seen: set[tuple[int, int]] = set()
    for number, task in enumerate(found, start=1):
        sections.append(_section(plan, task, number, seen))
    remarks = [] if found else ["The hand stays where it is: this plan has no shifts to practise."]
    if len(every) > len(found):
        remarks.append(f"The plan has {len(every) - len(found)} more kinds of shift, which occur less often.")
    subtitle = plan.passage.name
    sections = [_with_strings(section) for section in sections]
    return Sheet(f"Practice sheet: {title}" if title else "Practice sheet", subtitle, plan.passage.instrument,
                 tuple(sections), CAUTIONS, tuple(remarks))  # fmt: skip


def _with_strings(section: Section) -> Section:
    """Strings at every change, except where a line prints only what a player cannot know."""
    return replace(
        section,
        exercises=tuple(
            exercise if exercise.is_essential else replace(exercise, bars=with_string_marks(exercise.bars))
            for exercise in section.exercises
        ),
    )


def warm_up(plan: Plan, found: tuple[Task, ...]) -> Section:
    """One page to begin with: the bow, the way along a string, the commonest position."""
    key, meter = _home_key(plan), _home_meter(plan)
    instrument = plan.passage.instrument
    positions = _positions(plan, found)
    bow = open_strings(instrument, key, meter)
    exercises = [bow] if bow else []
    for position in positions[:1]:
        for string in _strings_in(plan, position)[:1]:
            line = along_the_string(instrument, key, position, string, meter)
            exercises += [line] if line else []
    main = positions[0] if positions else HOME_POSITION
    exercises += position_page(instrument, key, main, instrument.string_numbers, meter, octaves=1)
    return Section(
        f"Warm-up in {key.name}",
        "Five minutes, slowly, before the first shift.",
        tuple(exercises),
        charts=tuple(positions[:1]),
        fifths=key.fifths,
        minor=key.minor,
    )


def _position_sections(plan: Plan, found: tuple[Task, ...]) -> Iterator[Section]:
    """The other positions, each on the strings on which the piece uses it."""
    key, meter = _home_key(plan), _home_meter(plan)
    for number, position in enumerate(_positions(plan, found)[1:]):
        strings = _strings_in(plan, position)
        lines = tuple(position_page(plan.passage.instrument, key, position, strings, meter))
        yield Section(
            f"The hand in {place_name(position)}",
            "",
            lines,
            new_page=number == 0,
            charts=(position,),
            fifths=key.fifths,
            minor=key.minor,
        )


def _section(plan: Plan, task: Task, number: int, seen: set[tuple[int, int]]) -> Section:
    move, shift = task.move, task.shifts[0]
    measures = passage_bars(plan, shift.departure, shift.arrival)
    away = shift.goal != HOME_POSITION
    steps: list[Exercise] = []
    if away and measures not in seen:
        sounding = how_it_sounds(plan, measures)
        steps += [sounding] if sounding else []
    steps += exercises(move)
    if away and measures not in seen:
        steps.append(in_new_position(plan, measures))
    steps.append(in_context(plan, measures))
    steps = [step for step in steps if step.bars]  # bars without any length have nothing to play
    seen.add(measures)
    lettered = tuple(
        replace(step, title=f"{letter}) {step.title}") for letter, step in zip("abcdefgh", steps, strict=False)
    )
    heading = f"Shift {number}: {place_name(move.start)} to {place_name(move.goal)} {_KIND_WORDS[move.kind]}"
    return Section(heading, f"{_fingers_line(move)} {_bars_line(task)}", lettered, new_page=number == 1)


def _fingers_line(move: Move) -> str:
    names = move.instrument.string_name
    start, goal = names(move.departure.string or 1), names(move.arrival.string or 1)
    strings = f"string {start}" if start == goal else f"string {start} to string {goal}"
    guide = f" Finger {move.guide.finger} leads." if move.guide is not None and move.is_sounding else ""
    return f"From finger {move.departure.finger} to finger {move.arrival.finger}, {strings}.{guide}"


def _bars_line(task: Task) -> str:
    times = "once" if len(task.shifts) == 1 else f"{len(task.shifts)} times"
    named = ", ".join(task.bars[:12]) + (" and more" if len(task.bars) > 12 else "")
    return f"It occurs {times}: bar {named}."


def _home_key(plan: Plan) -> Key:
    fifths = Counter(plan.passage.measures[event.measure].fifths for event in plan.passage.events)
    return piece_key(plan, fifths.most_common(1)[0][0] if fifths else 0)


def _home_meter(plan: Plan) -> Meter:
    meters = Counter(measure.time_signature for measure in plan.passage.measures if measure.beats > 0)
    meter = meters.most_common(1)[0][0] if meters else (4, 4)
    return meter if bar_length(meter) >= 1 else (4, 4)


def _positions(plan: Plan, found: tuple[Task, ...]) -> list[int]:
    """The positions that the shifts lead to, the most used first; first position is known."""
    reached = {shift.goal for task in found for shift in task.shifts} - {HOME_POSITION}
    events = Counter({span.position: 0 for span in plan.spans})
    for span in plan.spans:
        events[span.position] += span.last - span.first + 1
    return sorted(reached, key=lambda position: (-events[position], position))


def _strings_in(plan: Plan, position: int) -> list[int]:
    """The strings that the piece stops in a position, the most used first."""
    used: Counter[int] = Counter()
    for fingered in plan.fingered_notes:
        if fingered.position == position and fingered.stop is not None and not fingered.stop.is_open:
            used[fingered.stop.string] += 1
    return [string for string, _ in sorted(used.items(), key=lambda item: (-item[1], item[0]))]


__all__ = ["Task", "move_of", "practice_sheet", "tasks"]
