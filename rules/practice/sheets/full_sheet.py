"""The full practice sheet for a plan: the hand in each position, each shift, each passage away from first position.

The order: first the hand in its new place, then the shifts, out before home, near before far, then the music.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace

from ...hand.grip import HOME_POSITION
from ...hand.level import ShiftKind
from ...music.bar_numbers import bar_number
from ...music.instrument import Instrument
from ...music.key import Key
from ...music.metre import Meter
from ...plan.counted_figures import hops, stretched
from ...plan.plan import Plan
from ...plan.printing import Fingers
from ...text import Text, capitalized, english, joined, set_apart
from ..drills.move import Move, is_reach
from ..drills.passage_drills import bars_named, grown, hardest_bar, how_it_sounds, in_context, in_new_position
from ..drills.position_drills import (
    HALF_POSITION,
    bowings,
    finger_pattern,
    half_position_place,
    hand_frame,
    harmonic_prepared,
    open_strings,
    place_name,
    places_named,
    reach_prepared,
    string_crossing,
)
from ..drills.scale_drills import arpeggio, scale
from ..drills.shift_drills import anchor_by_ear
from ..read_along import legible
from ..scale_tones import is_in_frame, stop_in_key
from ..sheet import CAUTIONS, Exercise, Need, Section, Sheet, SheetForm, Tone, numbered
from ..words_over_fingers import words_explained
from .demands import Demands, beyond_level_left_out, demands_of, high_notes_told
from .excursion_groups import ExcursionGroup, excursion_groups, measures_of, sounding, with_surroundings
from .sheet_size import needed, of_usual_size, put_aside_line
from .shift_sections import ASK_FIRST, bars_line, shift_line, shift_sections
from .tasks import (
    Task,
    bars_in,
    bars_played,
    by_way,
    chosen_excursions,
    commonest,
    key_in,
    lies_in,
    meter_in,
    positions,
    strings_in,
    tasks,
    tone_of,
)

HIGHEST_STUDIED = 7
"""Position above which the hand is not studied as a whole: it goes there for a few notes (common practice)."""
HARD_FOR_A_HAND = 10
"""Shifts, stretches and hops of a passage that counts as half as hard as any."""
MOST_NAMED = 12
"""Bars that a remark names; nobody reads a longer list."""


def practice_sheet(
    plan: Plan,
    title: str,
    chosen: Iterable[int] | None = None,
    most: int | None = None,
    fingers: Fingers = Fingers.ESSENTIAL,
    slight: Collection[int] = (),
    *,
    variants: bool = True,
) -> Sheet:
    """Return the practice sheet for a plan, or for chosen excursions of it.

    Args:
        plan: what is to be learned.
        title: of the piece.
        chosen: numbers (from 0) of the excursions to practise; None for all.
        most: drills for at most so many kinds of shift, the commonest; None for all.
        fingers: which digits are printed in the piece; in drills they all are.
        slight: numbers of the excursions that are nearly as easy in first position: a sheet spends little on them.
        variants: with every exercise; else with as many as a week has room for, those that are needed most.

    Raises:
        IndexError: if there is no excursion of that number.
    """
    demands = demands_of(plan)
    plan = demands.plan
    excursions = chosen_excursions(plan, chosen)
    every = tasks(plan, None if chosen is None else excursions)
    lightly = _only_for(plan, every, slight)
    found, left_out = commonest(every, most, lightly)
    hands = {position: position_section(plan, excursions, position) for position in positions(plan, excursions)}
    sections = [
        warm_up(plan, excursions),
        *hands.values(),
        *shift_sections(plan, [task for task in found if task not in lightly]),
        *_excursion_sections(demands, excursion_groups(plan, excursions), fingers, slight),
    ]
    if not plan.excursions:
        sections.append(_in_first_position(plan, fingers))
    put_aside: tuple[Exercise, ...] = ()
    if not variants:
        chosen_sections, put_aside = of_usual_size([_with_bars(section) for section in sections])
        sections = list(chosen_sections)
    sections = [as_printed(section, plan) for section in sections]
    inside = [measures_of(plan, plan.excursions[number]) for number in excursions]
    return Sheet(
        english("Practice sheet: {title}", title=title) if title else english("Practice sheet"),
        plan.passage.name,
        plan.passage.instrument,
        numbered(sections),
        CAUTIONS,
        (
            *remarks_of(plan, excursions, inside, left_out),
            *filter(None, (put_aside_line(put_aside),)),
            *_too_high_to_find([position for position, section in hands.items() if not section.exercises]),
        ),
    )


def _with_bars(section: Section) -> Section:
    """The section without exercises of bars that last no time."""
    return replace(section, exercises=tuple(exercise for exercise in section.exercises if exercise.bars))


def _only_for(plan: Plan, every: Iterable[Task], slight: Collection[int]) -> tuple[Task, ...]:
    """The shifts that no other excursions than these have."""
    arrivals = {shift.arrival for number in slight for shift in plan.excursions[number].shifts}
    return tuple(task for task in every if all(shift.arrival in arrivals for shift in task.shifts))


HARD_BARS = 3
"""Bars of a piece in first position that are singled out."""


def _in_first_position(plan: Plan, fingers: Fingers) -> Section:
    """What there is to practise where no shift is: the fingers of the key, and the bars that ask most of them."""
    bars, last = bars_played(plan, ()), len(plan.passage.measures) - 1
    strings = strings_in(plan, HOME_POSITION)
    exercises = [finger_pattern(plan.passage.instrument, key_in(plan, bars), HOME_POSITION, strings)] if strings else []
    edges = [last * number // HARD_BARS for number in range(HARD_BARS)]
    for first, end in zip(edges, [*edges[1:], last + 1], strict=True):
        hard = hardest_bar(plan, (first, end - 1), at_home=True) if end > first else None
        if hard is not None:
            exercises.append(hard)
    hard_bars = {exercise.bars[0].label for exercise in exercises[1:] if exercise}
    for bar, measure in enumerate(plan.passage.measures):
        if measure.label in hard_bars:
            exercises.append(in_context(plan, with_surroundings(plan, (bar, bar)), fingers))
            hard_bars.remove(measure.label)
    return Section(
        english("The piece in first position"),
        english(
            "This piece has no shifts to practise. Practise the finger pattern "
            "and the bars that ask most of the fingers."
        ),
        tuple(filter(None, exercises)),
    )


def _too_high_to_find(places: Sequence[int]) -> Iterator[Text]:
    """Yield that some positions have no exercise of their own: first position has no note to find their place by."""
    if places:
        yield english(
            "Without an exercise of its own: {positions}. Find the notes slowly in the bars of the piece.",
            positions=places_named(places),
        )


def as_printed(section: Section, plan: Plan) -> Section:
    """Return a section with the marks that a player needs; what is beyond the level or the compass is ad libitum."""
    instrument = plan.passage.instrument
    left_out = high_notes_told(beyond_level_left_out(section, plan.level), instrument)
    return words_explained(legible(left_out, instrument), instrument)


def remarks_of(
    plan: Plan,
    excursions: Sequence[int],
    printed: Iterable[tuple[int, int]],
    left_out: Iterable[Task],
    form: SheetForm = SheetForm.FULL,
) -> Iterator[Text]:
    """Yield what the sheet does not have, by bar, and why.

    Args:
        plan: what is to be learned.
        excursions: numbers (from 0) of those that are practised.
        printed: bars of the piece on the sheet, as first and last, counted from 0.
        left_out: kinds of shift without drills.
        form: of the sheet.
    """
    if not excursions:
        yield english("The hand stays in first position: there are no shifts to practise.")
    unheld = {plan.event(note.event).measure for note in plan.unheld}
    bars = sorted({bar for first, last in printed for bar in unheld if first <= bar <= last})
    if bars:
        named = bars_line(tuple(dict.fromkeys(bar_number(plan.passage, bar) for bar in bars)))
        yield english("The small notes {in_bars} lie beyond your level: ask your teacher.", in_bars=named)
    rest = tuple(left_out)
    others = bars_in(plan, rest)
    if rest and form is SheetForm.CARD:
        if len(others) > MOST_NAMED:
            yield english("Not on the card: other shifts, in {count} bars.", count=len(others))
        else:
            yield english("Not on the card: other shifts, {in_bars}.", in_bars=bars_line(others))
    elif len(others) > MOST_NAMED:
        yield english("Without drills: other shifts, in {count} bars.", count=len(others))
    elif rest:
        ways = (shift_line(plan, group) for group in by_way(rest))
        yield english("Without drills: {shifts}.", shifts=set_apart(ways))


def warm_up(plan: Plan, excursions: Sequence[int] = ()) -> Section:
    """To begin with, every day: the bow, then a scale where the hand is at home, as the chosen excursions have it."""
    bars = bars_played(plan, excursions)
    key, meter = key_in(plan, bars), meter_in(plan, bars)
    instrument = plan.passage.instrument
    exercises = (open_strings(instrument, meter), scale(instrument, key, HOME_POSITION, meter, octaves=1))
    heading = english("Warm-up in {key}", key=key.name)
    about = english("Slowly, before the first shift.") if excursions else ""
    return Section(heading, about, tuple(filter(None, exercises)), is_daily=True)


def position_section(plan: Plan, chosen: Iterable[int], position: int) -> Section:
    """The hand in one position: its place by ear, its pattern, its frame, and what the piece asks of it there.

    In the key and metre of the bars that the chosen excursions have in this position.
    """
    bars = bars_played(plan, chosen, position)
    key, meter, instrument = key_in(plan, bars), meter_in(plan, bars), plan.passage.instrument
    strings = strings_in(plan, position) or (1,)
    known = position in plan.level.positions
    exercises = [_place(instrument, key, position, strings[0], meter)]
    if position <= HIGHEST_STUDIED:
        exercises += needed(Need.CORE, [finger_pattern(instrument, key, position, strings)])
    if known and position <= HIGHEST_STUDIED:
        exercises += needed(
            Need.HELPFUL,
            [
                hand_frame(instrument, key, position, strings) if _uses_fourth_finger(plan, position) else None,
                scale(instrument, key, position, meter),
            ],
        )
        exercises += needed(
            Need.VARIANT,
            [
                arpeggio(instrument, key, position, meter),
                string_crossing(instrument, key, position, strings, meter),
                bowings(instrument, key, position, strings[0], meter),
            ],
        )
    exercises += needed(Need.HELPFUL, _special(plan, key, position, meter))
    printed = [exercise for exercise in exercises if exercise is not None and exercise.bars]
    begins = None
    if plan.spans[0].position == position:
        begins = english("The piece begins here: find the place before the first note.")
    return Section(
        english("The hand in {position}", position=place_name(position)),
        joined((None if known else ASK_FIRST, begins)),
        (*(replace(first, need=Need.ALWAYS) for first in printed[:1]), *printed[1:]),
        charts=(position,),
        fifths=key.fifths,
        minor=key.minor,
        weight=float(sum(position in plan.excursions[number].positions for number in chosen)),
    )


def _place(instrument: Instrument, key: Key, position: int, string: int, meter: Meter) -> Exercise | None:
    """The way to the place of the hand by ear, in silence."""
    if position == HALF_POSITION:
        return half_position_place(instrument, key, string, meter)
    first, anchor = (stop_in_key(instrument, key, string, place, 1) for place in (HOME_POSITION, position))
    if not (is_in_frame(instrument, first, HOME_POSITION) and is_in_frame(instrument, anchor, position)):
        return None
    return anchor_by_ear(Move(instrument, key, meter, ShiftKind.REST, HOME_POSITION, position, first, anchor))


def _uses_fourth_finger(plan: Plan, position: int) -> bool:
    return any(
        fingered.position == position and fingered.stop and fingered.stop.finger == 4
        for fingered in plan.fingered_notes
    )


def _special(plan: Plan, key: Key, position: int, meter: Meter) -> Iterator[Exercise]:
    """Each reach and each harmonic that the piece has in this position, prepared once."""
    instrument = plan.passage.instrument
    done: set[Tone] = set()
    for fingered in plan.fingered_notes:
        if fingered.position != position or fingered.stop is None:
            continue
        tone = tone_of(fingered)
        if tone in done:
            continue
        done.add(tone)
        if tone.harmonic:
            yield harmonic_prepared(instrument, key, position, tone, meter)
        elif lies_in(plan, fingered.stop, position) and is_reach(instrument, tone, position):
            yield reach_prepared(instrument, key, position, tone, meter)


def _excursion_sections(
    demands: Demands, groups: Iterable[ExcursionGroup], fingers: Fingers, slight: Collection[int]
) -> Iterator[Section]:
    """Yield a section for each; a drill that an earlier one has note for note is not printed again."""
    done: dict[object, str] = {}
    lightly = {demands.plan.excursions[number].first for number in slight}
    for group in groups:
        section = _excursion_section(demands, group, fingers, done)
        if group.excursion.first in lightly:
            drills = [replace(each, need=each.need and Need.VARIANT) for each in section.exercises]
            about = english(
                "These bars are nearly as easy without a shift, so there are no drills: "
                "ask your teacher which way to take."
            )
            section = replace(section, text=joined((about, section.text)), exercises=tuple(drills), weight=0.0)
        yield section


def _excursion_section(demands: Demands, group: ExcursionGroup, fingers: Fingers, done: dict[object, str]) -> Section:
    """The section; `done`: the notes of the drills that are on the sheet, with their bars. It grows."""
    plan = demands.plan
    # A note that is held into the first bar is left out of it: a bar of silence is no practice.
    pieces = tuple(sounding(plan, piece) for piece in group.pieces)
    exercises: list[Exercise | None] = [*needed(Need.HELPFUL, (how_it_sounds(plan, piece) for piece in pieces))]
    as_before: list[Text] = []
    for shift in group.shifts[:2]:
        drill = grown(plan, shift)
        bar = bar_number(plan.passage, plan.event(shift.arrival).measure)
        if drill is not None and (before := _earlier(drill, bar, done)):
            as_before.append(
                english("The shift in bar {number} is the one in bar {before}.", number=bar, before=before)
            )
        else:
            exercises += needed(Need.CORE if shift is group.shifts[0] else Need.HELPFUL, [drill])
    if group.measures[1] - group.measures[0] > 1:
        drill = hardest_bar(plan, group.measures)
        if drill is not None and not _earlier(drill, drill.bars[0].label, done):
            exercises += needed(Need.CORE, [drill])
    for piece in pieces:
        # Where the piece has nothing around the bars they are printed once, with every finger.
        if with_surroundings(plan, piece) != piece:
            exercises += needed(Need.HELPFUL, [in_new_position(plan, piece)])
    for piece in pieces:
        around = with_surroundings(plan, piece)
        exercises.append(in_context(plan, around, fingers if around != piece else Fingers.ALL))
    named = bars_named(plan, group.measures)
    around = with_surroundings(plan, group.measures)
    places = places_named(sorted(set(group.excursion.positions)))
    where = english("{bars} of the piece, in {positions}", bars=named, positions=places)
    return Section(
        capitalized(where),
        joined((*asked_lines(demands, around), _again_line(plan, group), *as_before)),
        tuple(filter(None, exercises)),
        weight=1 + len(group.alike) + _hardness(plan, group.measures),
    )


def _hardness(plan: Plan, measures: tuple[int, int]) -> float:
    """How hard some bars are for the hand, below 1: its shifts, stretches and hops."""
    inside = [index for index, event in enumerate(plan.passage.events) if measures[0] <= event.measure <= measures[1]]
    arrivals = {shift.arrival for shift in plan.shifts}
    asked = sum((index in arrivals) + stretched(plan, index) + hops(plan, index) for index in inside)
    return asked / (asked + HARD_FOR_A_HAND)


def _earlier(drill: Exercise, bar: str, done: dict[object, str]) -> str | None:
    """The bar of an earlier drill with the same notes, fingers and lengths; without one, this is it from now on."""
    content = tuple(replace(each, label="") for each in drill.bars)
    before = done.get(content)
    done.setdefault(content, bar)
    return before


def asked_lines(demands: Demands, measures: tuple[int, int]) -> Iterator[Text]:
    """Yield what the bars ask for that the level does not have, or that is hard for a hand."""
    first, last = measures
    plan = demands.plan
    if any(first <= plan.event(note.event).measure <= last for note in plan.unheld):
        yield english("The small notes lie beyond your level: leave them out, or ask your teacher.")
    if demands.beyond_level(measures):
        yield english("Part of it lies beyond the level: ask your teacher first.")
    yield from demands.lines(measures)


def _again_line(plan: Plan, group: ExcursionGroup) -> Text:
    again = [bars_named(plan, measures_of(plan, excursion)) for excursion in group.alike]
    return english("The same comes again in {bars}.", bars=set_apart(again)) if again else Text()


__all__ = ["asked_lines", "practice_sheet", "remarks_of", "warm_up"]
