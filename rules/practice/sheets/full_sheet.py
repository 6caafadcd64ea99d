"""The full practice sheet for a plan: the hand in each position, each shift, each passage away from first position.

The order: first the hand in its new place, then the shifts, out before home, near before far, then the music.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from ...hand.grip import HOME_POSITION
from ...hand.level import ShiftKind
from ...music.bar_numbers import bar_number
from ...music.instrument import Instrument
from ...music.key import Key
from ...music.metre import Meter
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
from ..sheet import CAUTIONS, Exercise, Section, Sheet, SheetForm, Tone, numbered
from ..words_over_fingers import words_explained
from .demands import Demands, beyond_level_left_out, demands_of, high_notes_told
from .excursion_groups import ExcursionGroup, excursion_groups, measures_of, sounding, with_surroundings
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
MOST_NAMED = 12
"""Bars that a remark names; nobody reads a longer list."""


def practice_sheet(
    plan: Plan,
    title: str,
    chosen: Iterable[int] | None = None,
    most: int | None = None,
    fingers: Fingers = Fingers.ESSENTIAL,
) -> Sheet:
    """Return the practice sheet for a plan, or for chosen excursions of it.

    Args:
        plan: what is to be learned.
        title: of the piece.
        chosen: numbers (from 0) of the excursions to practise; None for all.
        most: drills for at most so many kinds of shift, the commonest; None for all.
        fingers: which digits are printed in the piece; in drills they all are.

    Raises:
        IndexError: if there is no excursion of that number.
    """
    demands = demands_of(plan)
    plan = demands.plan
    excursions = chosen_excursions(plan, chosen)
    found, left_out = commonest(tasks(plan, chosen), most)
    hands = {position: position_section(plan, excursions, position) for position in positions(plan, excursions)}
    sections = [
        warm_up(plan, excursions),
        *hands.values(),
        *shift_sections(plan, found),
        *_excursion_sections(demands, excursion_groups(plan, excursions), fingers),
    ]
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
            *_too_high_to_find([position for position, section in hands.items() if not section.exercises]),
        ),
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
    exercises = (open_strings(instrument, key, meter), scale(instrument, key, HOME_POSITION, meter, octaves=1))
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
        exercises.append(finger_pattern(instrument, key, position, strings))
    if known and position <= HIGHEST_STUDIED:
        exercises += [
            hand_frame(instrument, key, position, strings) if _uses_fourth_finger(plan, position) else None,
            scale(instrument, key, position, meter),
            arpeggio(instrument, key, position, meter),
            string_crossing(instrument, key, position, strings, meter),
            bowings(instrument, key, position, strings[0], meter),
        ]
    exercises += _special(plan, key, position, meter)
    begins = None
    if plan.spans[0].position == position:
        begins = english("The piece begins here: find the place before the first note.")
    return Section(
        english("The hand in {position}", position=place_name(position)),
        joined((None if known else ASK_FIRST, begins)),
        tuple(filter(None, exercises)),
        charts=(position,),
        fifths=key.fifths,
        minor=key.minor,
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


def _excursion_sections(demands: Demands, groups: Iterable[ExcursionGroup], fingers: Fingers) -> Iterator[Section]:
    """Yield a section for each; a drill that an earlier one has note for note is not printed again."""
    done: dict[object, str] = {}
    for group in groups:
        yield _excursion_section(demands, group, fingers, done)


def _excursion_section(demands: Demands, group: ExcursionGroup, fingers: Fingers, done: dict[object, str]) -> Section:
    """The section; `done`: the notes of the drills that are on the sheet, with their bars. It grows."""
    plan = demands.plan
    # A note that is held into the first bar is left out of it: a bar of silence is no practice.
    pieces = tuple(sounding(plan, piece) for piece in group.pieces)
    exercises: list[Exercise | None] = [how_it_sounds(plan, pieces[0])]
    as_before: list[Text] = []
    for shift in group.shifts[:2]:
        drill = grown(plan, shift)
        bar = bar_number(plan.passage, plan.event(shift.arrival).measure)
        if drill is not None and (before := _earlier(drill, bar, done)):
            as_before.append(
                english("The shift in bar {number} is the one in bar {before}.", number=bar, before=before)
            )
        else:
            exercises.append(drill)
    if group.measures[1] - group.measures[0] > 1:
        drill = hardest_bar(plan, group.measures)
        if drill is not None and not _earlier(drill, drill.bars[0].label, done):
            exercises.append(drill)
    for piece in pieces:
        # Where the piece has nothing around the bars they are printed once, with every finger.
        if with_surroundings(plan, piece) != piece:
            exercises.append(in_new_position(plan, piece))
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
    )


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
