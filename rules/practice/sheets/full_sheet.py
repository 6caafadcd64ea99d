"""The full practice sheet for a plan: the hand in each position, each shift, each stretch of the piece.

The order: first the hand in its new place, then the shifts, out before home, near before far, then the music.
What belongs here: putting the sheet together. What does not: the drills, files.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from ...hand.grip import HOME_POSITION
from ...hand.level import ShiftKind
from ...music.key import Key
from ...plan.plan import Plan
from ...plan.printing import Fingers
from ...text import Text, capitalized, counted, english, joined, listed
from ..drills.move import Move, is_reach
from ..drills.passage_drills import bars_named, grown, hardest_bar, how_it_sounds, in_context, in_new_position
from ..drills.position_drills import (
    HALF_POSITION,
    between,
    bowings,
    finger_pattern,
    half_position_place,
    hand_frame,
    harmonic_prepared,
    open_strings,
    place_name,
    reach_prepared,
    string_crossing,
)
from ..drills.rhythm_drills import in_rhythms
from ..drills.scale_drills import along_the_string, arpeggio, scale, through_the_shift
from ..drills.shift_drills import (
    anchor_by_ear,
    check_with_open_string,
    hand_alone,
    in_one_bow,
    over_open_string,
    with_guide,
)
from ..drills.study import study
from ..read_along import legible
from ..scale_tones import is_in_frame, stop_in_key
from ..sheet import CAUTIONS, Exercise, Section, Sheet, SheetForm, Tone, numbered
from .piece_style import figures_of, rhythm_of
from .stretches import Stretch, measures_of, stretches, with_surroundings
from .tasks import Task, chosen_excursions, commonest, home_key, home_meter, positions, strings_in, tasks, tone_of

KIND_WORDS = {
    ShiftKind.SAME_FINGER: english("on the same finger"),
    ShiftKind.GUIDE_FINGER: english("with a guide finger"),
    ShiftKind.OPEN_STRING: english("over an open string"),
    ShiftKind.REST: english("during a rest"),
    ShiftKind.BOW_CHANGE: english("at a bow change"),
    ShiftKind.SLUR: english("under a slur"),
}


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
    excursions = chosen_excursions(plan, chosen)
    found, left_out = commonest(tasks(plan, chosen), most)
    sections = [
        warm_up(plan),
        *(position_section(plan, position) for position in positions(plan, excursions)),
        *_shift_sections(plan, found),
        *(_stretch_section(plan, stretch, fingers) for stretch in stretches(plan, excursions)),
    ]
    return Sheet(
        english("Practice sheet: {title}", title=title) if title else english("Practice sheet"),
        plan.passage.name,
        plan.passage.instrument,
        numbered(legible(section, plan.passage.instrument) for section in sections),
        CAUTIONS,
        tuple(remarks_of(plan, excursions, left_out)),
    )


def remarks_of(
    plan: Plan, excursions: tuple[int, ...], left_out: Iterable[Task], form: SheetForm = SheetForm.FULL
) -> Iterator[Text]:
    """Yield what the sheet does not have, by bar, and why."""
    if not excursions:
        yield english("The hand stays in first position: there are no shifts to practise.")
    unheld = {plan.event(note.event).measure for note in plan.unheld}
    inside = [measures_of(plan, plan.excursions[number]) for number in excursions]
    bars = [bar for bar in sorted(unheld) if any(first <= bar <= last for first, last in inside)]
    if bars:
        named = bars_line(tuple(plan.passage.measures[bar].label for bar in bars))
        yield english("No finger reaches some notes {in_bars} within the level: ask your teacher.", in_bars=named)
    for task in left_out:
        shift = shift_line(task)
        if form is SheetForm.CARD:
            yield english("Not on the card: {shift}.", shift=shift)
        else:
            yield english("Without drills: {shift}.", shift=shift)


def shift_line(task: Task) -> Text:
    """Return a shift with its bars in words: `first to third position on the same finger, in bar 9`."""
    move = task.move
    return english(
        "{positions} {kind}, {in_bars}",
        positions=between(move.start, move.goal),
        kind=KIND_WORDS[move.kind],
        in_bars=bars_line(task.bars),
    )


def bars_line(bars: tuple[str, ...]) -> Text:
    """Return bars in words: `in bar 9`, `in bars 9, 18 and 27`."""
    if len(bars) == 1:
        return english("in bar {number}", number=bars[0])
    return english("in bars {numbers}", numbers=listed(bars))


def warm_up(plan: Plan) -> Section:
    """To begin with: the bow, then a scale where the hand is at home."""
    key, meter = home_key(plan), home_meter(plan)
    instrument = plan.passage.instrument
    exercises = (open_strings(instrument, key, meter), scale(instrument, key, HOME_POSITION, meter, octaves=1))
    heading = english("Warm-up in {key}", key=key.name)
    return Section(heading, english("Slowly, before the first shift."), tuple(filter(None, exercises)))


def position_section(plan: Plan, position: int) -> Section:
    """The hand in one position: its place by ear, its pattern, its frame, and what the piece asks of it there."""
    key, meter, instrument = home_key(plan), home_meter(plan), plan.passage.instrument
    strings = strings_in(plan, position) or (1,)
    exercises = [
        _place(plan, key, position, strings[0]),
        finger_pattern(instrument, key, position, strings),
        hand_frame(instrument, key, position, strings) if _uses_fourth_finger(plan, position) else None,
        scale(instrument, key, position, meter),
        arpeggio(instrument, key, position, meter),
        string_crossing(instrument, key, position, strings, meter),
        bowings(instrument, key, position, strings[0], meter),
        *_special(plan, key, position),
    ]
    begins = beyond = None
    if plan.spans[0].position == position:
        begins = english("The piece begins here: find the place before the first note.")
    if position not in plan.level.positions:
        beyond = english("The piece asks for it, though it lies beyond the level: ask your teacher first.")
    return Section(
        english("The hand in {position}", position=place_name(position)),
        joined((beyond, begins)),
        tuple(filter(None, exercises)),
        charts=(position,),
        fifths=key.fifths,
        minor=key.minor,
    )


def _place(plan: Plan, key: Key, position: int, string: int) -> Exercise | None:
    """The way to the place of the hand by ear, in silence."""
    instrument = plan.passage.instrument
    if position == HALF_POSITION:
        return half_position_place(instrument, key, string, home_meter(plan))
    first, anchor = (stop_in_key(instrument, key, string, place, 1) for place in (HOME_POSITION, position))
    if not (is_in_frame(instrument, first, HOME_POSITION) and is_in_frame(instrument, anchor, position)):
        return None
    meter = home_meter(plan)
    return anchor_by_ear(Move(instrument, key, meter, ShiftKind.REST, HOME_POSITION, position, first, anchor))


def _uses_fourth_finger(plan: Plan, position: int) -> bool:
    return any(
        fingered.position == position and fingered.stop and fingered.stop.finger == 4
        for fingered in plan.fingered_notes
    )


def _special(plan: Plan, key: Key, position: int) -> Iterator[Exercise]:
    """Each reach and each harmonic that the piece has in this position, prepared once."""
    instrument, meter = plan.passage.instrument, home_meter(plan)
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
        elif is_reach(instrument, tone, position):
            yield reach_prepared(instrument, key, position, tone, meter)


def _shift_sections(plan: Plan, found: tuple[Task, ...]) -> Iterator[Section]:
    seen: set[object] = set()
    for number, task in enumerate(found, start=1):
        move = task.move
        steps: list[Exercise | None] = [hand_alone(move), with_guide(move)]
        if move.arrival not in seen:
            seen.add(move.arrival)
            steps.append(check_with_open_string(move))
        steps += [over_open_string(move), in_one_bow(move), in_rhythms(move)]
        line = (move.start, move.goal, move.arrival.string)
        if not move.is_home and line not in seen:
            seen.add(line)
            steps.append(_scale_with_shift(move))
        if ("study", move.start, move.goal) not in seen and not move.is_home:
            seen.add(("study", move.start, move.goal))
            steps.append(study(move, rhythm_of(plan, task), *figures_of(plan, task)))
        heading = english(
            "Shift {number}: {positions} {kind}",
            number=number,
            positions=between(move.start, move.goal),
            kind=KIND_WORDS[move.kind],
        )
        yield Section(heading, joined((fingers_line(move), _times_line(task))), tuple(filter(None, steps)))


def _scale_with_shift(move: Move) -> Exercise | None:
    """The scale through the shift; where none goes from tonic to tonic, its beginning along the string."""
    place = (move.instrument, move.key, move.start, move.goal, move.arrival.string or 1, move.meter)
    return through_the_shift(*place) or along_the_string(*place)


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


def _times_line(task: Task) -> Text:
    bars = bars_line(task.bars)
    if len(task.shifts) == 2:
        return english("It occurs twice, {in_bars}.", in_bars=bars)
    return counted("It occurs once, {in_bars}.", "It occurs {n} times, {in_bars}.", len(task.shifts), in_bars=bars)


def _stretch_section(plan: Plan, stretch: Stretch, fingers: Fingers) -> Section:
    pieces = stretch.pieces
    exercises: list[Exercise | None] = [how_it_sounds(plan, pieces[0])]
    exercises += [grown(plan, shift) for shift in stretch.shifts[:2]]
    if stretch.measures[1] - stretch.measures[0] > 1:
        exercises.append(hardest_bar(plan, stretch.measures))
    exercises += [in_new_position(plan, piece) for piece in pieces]
    exercises += [in_context(plan, with_surroundings(plan, piece), fingers) for piece in pieces]
    named = bars_named(plan, stretch.measures)
    names = [place_name(position) for position in sorted(set(stretch.excursion.positions))]
    where = english("{bars} of the piece, in {positions}", bars=named, positions=_all_and(names))
    return Section(capitalized(where), _again_line(plan, stretch), tuple(filter(None, exercises)))


def _all_and(names: Sequence[Text]) -> Text:
    """Positions one after the other: "second position, third position and fourth position"."""
    said = names[0]
    for name in names[1:-1]:
        said = english("{first}, {second}", first=said, second=name)
    return english("{first} and {second}", first=said, second=names[-1]) if len(names) > 1 else said


def _again_line(plan: Plan, stretch: Stretch) -> Text:
    again = [bars_named(plan, measures_of(plan, excursion)) for excursion in stretch.alike]
    return english("The same comes again in {bars}.", bars=joined(again, "; ")) if again else Text()


__all__ = ["KIND_WORDS", "bars_line", "fingers_line", "practice_sheet", "remarks_of", "shift_line", "warm_up"]
