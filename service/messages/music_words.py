"""How fingers, strings, positions, pitches, bars and beats are named to a player."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import takewhile

from rules import Instrument, Passage, Plan, Stop, bar_number, is_short_bar, is_split_bar, whole_bar

from .message import Message, Wording

INSTRUMENTS = {"violin": Message("violin"), "viola": Message("viola")}
INSTRUMENT_TITLES = {"violin": Message("Violin"), "viola": Message("Viola")}
FINGERS = (
    Message("open string"),
    Message("1st finger"),
    Message("2nd finger"),
    Message("3rd finger"),
    Message("4th finger"),
)
POSITIONS = (
    Message("half position"),
    Message("first position"),
    Message("second position"),
    Message("third position"),
    Message("fourth position"),
    Message("fifth position"),
    Message("sixth position"),
    Message("seventh position"),
    Message("eighth position"),
    Message("ninth position"),
    Message("tenth position"),
    Message("eleventh position"),
    Message("twelfth position"),
)
HIGHER_POSITION = Message("{number}th position")
STRING = Message("{name} string")
NUMBERED_STRING = Message("string number {number}")
OPEN_STRING = Message("open {name} string")
STOPPED = Message("the {finger} on the {string}")
OPEN = Message("the {open_string}")

BAR = Message("bar {number}")
BARS = Message("bars {numbers}")
UPBEAT = Message("the upbeat")
UPBEAT_TO = Message("the upbeat to bar {number}")
JUST_AFTER_BEAT = Message("{bar}, just after beat {beat}")
JUST_BEFORE_BEAT = Message("{bar}, just before beat {beat}")
ON_BEAT = Message("{bar}, beat {beat}")
START_OF = Message("{bar}, first note")
END_OF = Message("{bar}, at the end")
FIRST_HALF = Message("{bar}, first half")
SECOND_HALF = Message("{bar}, second half")
HALF_OF_BEAT = Message("{bar}, second half of beat {beat}")
NOTE_OF = Message("{where}, {note}")
QUAVER = {2: Message("second quaver"), 3: Message("third quaver")}
QUAVER_OF_BEAT = {2: Message("{bar}, second quaver of beat {beat}"), 3: Message("{bar}, third quaver of beat {beat}")}
AFTER_HELD = Message("{where}, {note} after the held note")
GRACE_NOTE = Message("{where}, grace note")
NTH_GRACE_NOTE = (
    Message("{where}, first grace note"),
    Message("{where}, second grace note"),
    Message("{where}, third grace note"),
    Message("{where}, fourth grace note"),
)
LATER_GRACE_NOTE = Message("{where}, grace note {number}")
NTH_NOTE = (
    Message("first note"),
    Message("second note"),
    Message("third note"),
    Message("fourth note"),
    Message("fifth note"),
    Message("sixth note"),
)
NTH_MAIN_NOTE = (
    Message("first main note"),
    Message("second main note"),
    Message("third main note"),
    Message("fourth main note"),
    Message("fifth main note"),
    Message("sixth main note"),
)
"""Where grace notes stand among the notes that are counted: they do not count."""
LAST_NOTE = Message("last note")
LATER_NOTE = Message("note {number}")
LATER_MAIN_NOTE = Message("main note {number}")

HALF = Fraction(1, 2)


def finger_words(wording: Wording, finger: int) -> str:
    """Return "4th finger", or "open string" for 0."""
    return wording.say(FINGERS[finger])


def position_words(wording: Wording, position: int) -> str:
    """Return "third position", or "half position" for 0."""
    if position < len(POSITIONS):
        return wording.say(POSITIONS[position])
    return wording.say(HIGHER_POSITION, number=str(position))


def string_words(wording: Wording, instrument: Instrument, string: int) -> str:
    """Return "A string"; a string that the instrument does not have is named by its number."""
    if string not in instrument.string_numbers:
        return wording.say(NUMBERED_STRING, number=str(string))
    return wording.say(STRING, name=wording.note(instrument.open_pitch(string)))


def open_string_words(wording: Wording, instrument: Instrument, string: int) -> str:
    """Return "open A string"."""
    return wording.say(OPEN_STRING, name=wording.note(instrument.open_pitch(string)))


def stop_words(wording: Wording, instrument: Instrument, stop: Stop) -> str:
    """Return "the 4th finger on the A string", or "the open A string"."""
    if stop.is_open:
        return wording.say(OPEN, open_string=open_string_words(wording, instrument, stop.string))
    string = string_words(wording, instrument, stop.string)
    return wording.say(STOPPED, finger=finger_words(wording, stop.finger), string=string)


def bar_words(wording: Wording, passage: Passage, measure: int) -> str:
    """Return "bar 12"; an incomplete first bar is the upbeat, and so is the second half of a bar cut by a repeat."""
    label = passage.measures[measure].label
    if measure == 0 and is_short_bar(passage, 0):
        return wording.say(UPBEAT)
    if is_split_bar(passage, measure):
        following = whole_bar(passage, measure, 1)
        if following is not None:
            return wording.say(UPBEAT_TO, number=following)
    return wording.say(BAR, number=label)


def bars_words(wording: Wording, plan: Plan, first: int, last: int) -> str:
    """Return "bar 12" or "bars 12-14" for a range of events."""
    passage = plan.passage
    start, end = (plan.event(index).measure for index in (first, last))
    if start == end:
        return bar_words(wording, passage, start)
    return bar_list(wording, [_ends(passage, start, end)])


def _ends(passage: Passage, start: int, end: int) -> list[str]:
    """The numbers of the first and the last whole bar of some measures; a part of one bar has its number."""
    if start == end:
        return [bar_number(passage, start)]
    return [number for number in (whole_bar(passage, start, 1), whole_bar(passage, end, -1)) if number] or [""]


def ranges_words(wording: Wording, plan: Plan, ranges: Sequence[tuple[int, int]]) -> str:
    """Return "bars 9-16 and 21-24" for several ranges of events in order; those that share a bar or touch are one."""
    if len(ranges) == 1:
        return bars_words(wording, plan, *ranges[0])
    runs: list[list[int]] = []
    for start, end in ((plan.event(first).measure, plan.event(last).measure) for first, last in ranges):
        if runs and start <= runs[-1][1] + 1:
            runs[-1][1] = max(end, runs[-1][1])
        else:
            runs.append([start, end])
    return bar_list(wording, [_ends(plan.passage, *run) for run in runs])


def bar_list(wording: Wording, runs: Sequence[Sequence[str]]) -> str:
    """Return "bar 9" or "bars 9, 10 and 13-15" for runs of bars, each given by the numbers of its ends."""
    ends = [list(dict.fromkeys(run)) for run in runs]
    if len(ends) == 1 and len(ends[0]) == 1:
        return wording.say(BAR, number=ends[0][0])
    return wording.say(BARS, numbers=wording.all_of([wording.span(*run) for run in ends]))


def runs_of_bars(passage: Passage, measures: Iterable[int]) -> list[list[str]]:
    """Return the numbers of some bars; of three and more in a row those at both ends."""
    runs: list[list[int]] = []
    for measure in sorted(set(measures)):
        if runs and runs[-1][-1] + 1 == measure:
            runs[-1].append(measure)
        else:
            runs.append([measure])
    ends = [part for run in runs for part in ([run] if len(run) > 2 else [[measure] for measure in run])]
    labels = [[bar_number(passage, measure) for measure in (run[0], run[-1])] for run in ends]
    return list(map(list, dict.fromkeys(map(tuple, labels))))


def place_words(wording: Wording, plan: Plan, index: int) -> str:
    """Return where an event stands, as musicians count: "bar 12, beat 3", "bar 17, second half", "… third note".

    Beats are those of the metre: dotted in 6/8, where a bar has two halves. Within a beat the notes are counted.
    """
    passage, event = plan.passage, plan.event(index)
    bar = bar_words(wording, passage, event.measure)
    if event.grace:
        return _grace_words(wording, plan, index, bar)
    if is_short_bar(passage, event.measure) and _is_first(plan, index) and _is_last(plan, index):
        return bar
    if is_short_bar(passage, 0) and event.measure == 0:
        return wording.say(NOTE_OF, where=bar, note=_nth(wording, plan, index, Fraction(0)))
    return _place_in_bar(wording, plan, index, bar)


def _place_in_bar(wording: Wording, plan: Plan, index: int, bar: str) -> str:
    """The place of a note of a bar: its beat and, where it does not begin on it, which of its notes."""
    event = plan.event(index)
    beat, time = int(event.beat), plan.passage.measures[event.measure].time_signature
    if event.beat != beat and beat == _number_of_beats(time) and _is_last(plan, index):
        return wording.say(NOTE_OF, where=bar, note=wording.say(LAST_NOTE))
    number = _number_since(plan, index, event.measure, Fraction(beat))
    held = _is_held_into(plan, index, event.measure, Fraction(beat))
    if number == 1 and event.beat != beat:
        if _is_first(plan, index) and not held:
            return wording.say(START_OF, bar=bar)
        return _off_the_beat(wording, plan, index, bar)
    if number > len(NTH_NOTE) and event.beat >= beat + HALF:
        return _in_second_half(wording, plan, index, wording.say(HALF_OF_BEAT, bar=bar, beat=str(beat)))
    note = None if event.beat == beat else _nth(wording, plan, index, Fraction(beat))
    place = _Place(wording, bar, beat, note, held)
    return place.by_halves() if _has_two_halves(time) and beat <= 2 else place.by_beats()


def _grace_words(wording: Wording, plan: Plan, index: int, bar: str) -> str:
    """The place of a grace note: that of the note to which it leads; of several before one note they are counted."""
    event = plan.event(index)

    def is_with_it(other: int) -> bool:
        beside = plan.event(other)
        return beside.onset == event.onset and beside.measure == event.measure

    def belongs(other: int) -> bool:
        return plan.event(other).grace and is_with_it(other)

    first = index - len(list(takewhile(belongs, range(index - 1, -1, -1))))
    main = index + 1 + len(list(takewhile(belongs, range(index + 1, len(plan.passage.events)))))
    leads = main < len(plan.passage.events) and is_with_it(main)
    if leads:
        where = place_words(wording, plan, main)
    elif event.beat >= 1 + _number_of_beats(plan.passage.measures[event.measure].time_signature):
        where = wording.say(END_OF, bar=bar)
    else:
        where = wording.say(ON_BEAT, bar=bar, beat=str(int(event.beat)))
    if main - first == 1:
        return wording.say(GRACE_NOTE, where=where)
    number = index - first
    if number < len(NTH_GRACE_NOTE):
        return wording.say(NTH_GRACE_NOTE[number], where=where)
    return wording.say(LATER_GRACE_NOTE, where=where, number=str(number + 1))


def _in_second_half(wording: Wording, plan: Plan, index: int, half: str) -> str:
    """The place of a note in a beat of many notes: they are counted from the middle of the beat."""
    event = plan.event(index)
    middle = int(event.beat) + HALF
    if event.beat == middle:
        return half
    return wording.say(NOTE_OF, where=half, note=_nth(wording, plan, index, middle))


@dataclass(frozen=True, slots=True)
class _Place:
    """A place within a bar: the beat, which of its notes (None on the beat), whether a note is held into the beat."""

    wording: Wording
    bar: str
    beat: int
    note: str | None
    held: bool

    def by_halves(self) -> str:
        second = self.beat == 2
        if self.note is None:
            return self.wording.say(SECOND_HALF if second else START_OF, bar=self.bar)
        half = SECOND_HALF if second else FIRST_HALF
        after = AFTER_HELD if self.held else NOTE_OF
        return self.wording.say(after, where=self.wording.say(half, bar=self.bar), note=self.note)

    def by_beats(self) -> str:
        beat = self.wording.say(ON_BEAT, bar=self.bar, beat=str(self.beat))
        if self.note is None:
            return beat
        return self.wording.say(AFTER_HELD if self.held else NOTE_OF, where=beat, note=self.note)


def _off_the_beat(wording: Wording, plan: Plan, index: int, bar: str) -> str:
    """The place of the only note of a beat that does not begin on it: by the quaver where beats have three."""
    event = plan.event(index)
    beat, time = int(event.beat), plan.passage.measures[event.measure].time_signature
    place = event.beat - beat
    quaver = int(place * 3) + 1 if time[1] == 8 and time[0] % 3 == 0 and place * 3 in (1, 2) else None
    first = _Place(wording, bar, beat, nth_note(wording, 1), held=False)
    if _has_two_halves(time) and beat <= 2:
        return (first if quaver is None else replace(first, note=wording.say(QUAVER[quaver]))).by_halves()
    if quaver is not None and time[0] > 3:
        return wording.say(QUAVER_OF_BEAT[quaver], bar=bar, beat=str(beat))
    if place == HALF:
        return wording.say(HALF_OF_BEAT, bar=bar, beat=str(beat))
    if place < HALF:
        return wording.say(JUST_AFTER_BEAT, bar=bar, beat=str(beat))
    if beat == _number_of_beats(time):
        return first.by_beats()
    return wording.say(JUST_BEFORE_BEAT, bar=bar, beat=str(beat + 1))


def _number_of_beats(time: tuple[int, int]) -> int:
    """How many beats a bar has: dotted ones in 6/8 and its like."""
    return time[0] // 3 if time[0] > 3 and time[0] % 3 == 0 else time[0]


def _has_two_halves(time: tuple[int, int]) -> bool:
    """6/8 and its like: two dotted beats."""
    return time[0] == 6 and time[1] >= 4


def _is_first(plan: Plan, index: int) -> bool:
    """Whether no other note begins in the bar before this one."""
    return index == 0 or plan.event(index - 1).measure != plan.event(index).measure


def _is_last(plan: Plan, index: int) -> bool:
    """Whether no other note begins in the bar after this one."""
    later = index + 1
    return later == len(plan.passage.events) or plan.event(later).measure != plan.event(index).measure


def _since(plan: Plan, index: int, measure: int, beat: Fraction) -> list[int]:
    """The events from a beat on up to one, the last one first."""
    events = range(index, -1, -1)
    return list(takewhile(lambda each: plan.event(each).measure == measure and plan.event(each).beat >= beat, events))


def _number_since(plan: Plan, index: int, measure: int, beat: Fraction) -> int:
    """Which note an event is, counted from the beat on."""
    return sum(not plan.event(each).grace for each in _since(plan, index, measure, beat))


def _nth(wording: Wording, plan: Plan, index: int, beat: Fraction) -> str:
    """Which note an event is, counted from the beat on; grace notes among them are not counted, and that is said."""
    measure = plan.event(index).measure
    among_graces = any(plan.event(each).grace for each in _since(plan, index, measure, beat))
    return nth_note(wording, _number_since(plan, index, measure, beat), main=among_graces)


def _is_held_into(plan: Plan, index: int, measure: int, beat: Fraction) -> bool:
    """Whether a note sounds on at the beat of an event, where none begins."""
    first = _since(plan, index, measure, beat)[-1]
    return first > 0 and plan.event(first).beat != beat and plan.event(first).rest == 0


def nth_note(wording: Wording, number: int, *, main: bool = False) -> str:
    """Return "third note", or "third main note" where grace notes stand between."""
    names, later = (NTH_MAIN_NOTE, LATER_MAIN_NOTE) if main else (NTH_NOTE, LATER_NOTE)
    if number <= len(names):
        return wording.say(names[number - 1])
    return wording.say(later, number=str(number))
