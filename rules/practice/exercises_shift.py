"""The exercises for one shift: find the anchor by ear, the shift alone, over an open string, in one bow, in rhythms.

The order and the content are those that teachers use (common practice): hear the note first, move on a guide finger,
return, and end on a note that the ear can check.
What does not belong here: the passage itself (see `exercises_passage`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import cycle

from ..hand.grip import OPEN_KEEPS
from ..hand.level import ShiftKind
from ..music.instrument import Instrument, Pitch
from ..music.key import Key
from ..music.metre import Meter
from .barring import bar_length, bars_of, beat_length
from .scale_tones import first_position, is_in_frame, open_in_key, stop_in_key
from .sheet import Exercise, SheetNote, Tone

OCTAVE = 7
SLOW = 60.0


@dataclass(frozen=True, slots=True)
class Move:
    """A shift as it is practised: from where to where, with which fingers, in which key and metre.

    `guide` is where the guide finger stands on arriving, if that is not the arrival note; `between` the open string
    that sounds while the hand moves, if one does.
    """

    instrument: Instrument
    key: Key
    meter: Meter
    kind: ShiftKind
    start: int
    goal: int
    departure: Tone
    arrival: Tone
    guide: Tone | None = None
    between: Tone | None = None

    @property
    def is_sounding(self) -> bool:
        """True if the hand travels while the bow plays on a stopped note."""
        return self.kind not in (ShiftKind.REST, ShiftKind.OPEN_STRING)

    @property
    def is_same_finger(self) -> bool:
        """True if one finger on one string plays both notes."""
        return (self.departure.finger, self.departure.string) == (self.arrival.finger, self.arrival.string)

    @property
    def strings_apart(self) -> int:
        """How many strings lie between departure and arrival; 0 if they share one."""
        return abs((self.departure.string or 0) - (self.arrival.string or 0))


def exercises(move: Move) -> Iterator[Exercise]:
    """Yield the exercises (b) to (f) that make sense for the shift, in the order of practice."""
    for step in (anchor_by_ear, shift_alone, over_open_string, in_one_bow, in_rhythms):
        exercise = step(move)
        if exercise is not None:
            yield exercise


def anchor_by_ear(move: Move) -> Exercise | None:
    """The climb to the arrival note in first position, then the same note reached by the shift."""
    if move.goal <= move.start:
        return None
    anchor = _anchor(move)
    lowered = 0
    heard = _climb(move, anchor.pitch)
    if not heard:
        lowered = 1
        heard = _climb(move, Pitch(anchor.pitch.letter - OCTAVE, anchor.pitch.alter))
    if not heard:
        return None
    unit = beat_length(move.meter)
    notes = [*_in_units(heard[:-1], unit, 1), *_to_bar_line(move.meter, len(heard) - 1, unit, heard[-1], 1)]
    arriving = _arriving(move, anchor)
    notes += [*_placed(arriving[:-1], unit), *_to_bar_line(move.meter, len(arriving) - 1, unit, *arriving[-1])]
    octave = " First comes the climb an octave lower: the note itself is out of reach there." if lowered else ""
    text = f"Sing the long note, then arrive with finger 1 and meet the same pitch.{octave}"
    return _exercise("Find the anchor by ear", text, notes, move)


def shift_alone(move: Move) -> Exercise:
    """Departure and arrival in long notes, there and back, the guide note written small."""
    out, back = _small_notes(move)
    pause: Sequence[SheetNote] = ()
    if move.kind is ShiftKind.REST:
        pause = (SheetNote((), Fraction(1)),)
        text = "Lift, move in silence, set the finger down, and only then bow."
    elif move.between is not None:
        pause = (SheetNote((move.between,), Fraction(1), move.start),)
        text = "Separate bows. The hand moves while the open string rings."
    elif move.is_same_finger:
        text = "Separate bows. Lighten the finger, glide, and let it sink in again."
    elif not out and not back:
        text = f"Separate bows. Finger {move.arrival.finger} leads: it lies lightly on the string and travels."
    else:
        text = "Separate bows. The small note is the guide: hear it once, then only feel it."
    title = "The shift alone, there and back"
    return _exercise(title, f"{text} {check_line(move)}".strip(), _there_and_back(move, out, back, pause), move)


def over_open_string(move: Move) -> Exercise | None:
    """The hand moves while an open string sounds, where one belongs to the key and lies beside both notes."""
    if not move.is_sounding or max(move.start, move.goal) > OPEN_KEEPS:
        return None
    near = sorted({move.arrival.string or 0, move.departure.string or 0}, reverse=move.goal < move.start)
    beside = [string + step for string in near for step in (1, -1)]
    for string in [*near, *beside]:
        reachable = all(abs(string - (tone.string or 0)) <= 1 for tone in (move.departure, move.arrival))
        if string in move.instrument.string_numbers and reachable and open_in_key(move.instrument, move.key, string):
            rung = SheetNote((Tone(move.instrument.open_pitch(string), 0, string),), Fraction(1), move.start)
            text = "Move while the open string rings; no hurry and no slide to be heard."
            return _exercise("Over an open string", text, _there_and_back(move, (), (), (rung,)), move)
    return None


def in_one_bow(move: Move) -> Exercise | None:
    """Departure and arrival in the same bow."""
    if not move.is_sounding or move.strings_apart > 1:
        return None
    notes = _there_and_back(move, (), (), ())
    bound = [replace(note, bowed_on=index % 2 == 0) for index, note in enumerate(_joined(notes))]
    text = "The bow goes on for both notes and slows a little while the hand travels."
    return _exercise("In the same bow", text, bound, move)


def in_rhythms(move: Move) -> Exercise | None:
    """The two notes in turn, each long-short, then each short-long."""
    if not move.is_sounding:
        return None
    turns = cycle(((move.departure, move.start), (move.arrival, move.goal)))
    notes: list[SheetNote] = []
    for cell, (tone, position) in zip(_rhythm_cells(move.meter), turns, strict=False):
        notes += [SheetNote((tone,), beats, position) for beats in cell]
    whole = bar_length(move.meter)
    if notes[-1].tones == (move.arrival,):
        notes.append(SheetNote((move.departure,), whole, move.start))
    notes.append(SheetNote((move.arrival,), whole, move.goal))
    text = "Keep the rhythm exact; the hand starts early enough to arrive in time."
    return _exercise("In other rhythms", text, notes, move)


FROM_THE_OPEN_STRING = ("the same pitch as", "an octave from", "two octaves from", "whole octaves from")
"""How a pitch stands to an open string of its name, by how many octaves lie between."""


def check_line(move: Move) -> str:
    """Return the sentence that tells how the ear checks the arrival, or nothing."""
    pitch = move.arrival.pitch
    if pitch == move.departure.pitch:
        return "Check: it is the same pitch as before."
    ringing = [
        (abs(open_pitch.midi - pitch.midi) // 12, string)
        for string in move.instrument.string_numbers
        if (open_pitch := move.instrument.open_pitch(string)).step == pitch.step
        and (open_pitch.midi - pitch.midi) % 12 == 0
    ]
    if ringing:
        octaves, string = min(ringing)
        same = FROM_THE_OPEN_STRING[min(int(octaves), len(FROM_THE_OPEN_STRING) - 1)]
        return f"Check: {pitch.step} is {same} the open {move.instrument.string_name(string)}."
    known = first_position(move.instrument, pitch)
    if known is None or known.string is None or move.goal == 1:
        return ""
    return (
        f"Check: the same pitch is finger {known.finger}, string {move.instrument.string_name(known.string)}, in first."
    )


def _exercise(title: str, text: str, notes: Sequence[SheetNote], move: Move) -> Exercise:
    return Exercise(title, text, bars_of(notes, move.meter, move.key.fifths, fill=True), SLOW)


def _anchor(move: Move) -> Tone:
    """The first finger of the position reached, on the arrival's string; the arrival itself if that finger plays it."""
    if move.arrival.finger == 1:
        return move.arrival
    return stop_in_key(move.instrument, move.key, move.arrival.string or 1, move.goal, 1)


def _climb(move: Move, pitch: Pitch) -> list[Tone]:
    """First position from the open string (or the first finger, if the key has no such open string) up to a pitch."""
    top = first_position(move.instrument, pitch)
    if top is None or not top.string or not top.finger:
        return []
    lower = [stop_in_key(move.instrument, move.key, top.string, 1, finger) for finger in range(top.finger)]
    if not open_in_key(move.instrument, move.key, top.string):
        lower = lower[1:]
    lower = [tone for tone in lower if tone.pitch.midi < top.pitch.midi]
    return [*lower, top]


def _arriving(move: Move, anchor: Tone) -> list[tuple[Tone, int]]:
    """The open string, the first finger, the anchor by the shift, and on to the arrival note."""
    string = anchor.string or 1
    first = stop_in_key(move.instrument, move.key, string, move.start, 1)
    found = [(first, move.start), (anchor, move.goal)]
    if open_in_key(move.instrument, move.key, string):
        found.insert(0, (stop_in_key(move.instrument, move.key, string, move.start, 0), move.start))
    for finger in range(2, move.arrival.finger or 1):
        tone = stop_in_key(move.instrument, move.key, string, move.goal, finger)
        if is_in_frame(move.instrument, tone, move.goal) and tone.pitch.midi < move.arrival.pitch.midi:
            found.append((tone, move.goal))
    if move.arrival.finger != 1:
        found.append((move.arrival, move.goal))
    return found


def _small_notes(move: Move) -> tuple[Sequence[SheetNote], Sequence[SheetNote]]:
    """The guide notes on the way out and on the way back; none where they would be the notes themselves."""
    if move.kind in (ShiftKind.REST, ShiftKind.OPEN_STRING) or move.is_same_finger:
        return (), ()
    out = move.guide or _anchor(move)
    # Back on the finger that played the arrival, or on the first finger where the string changes.
    finger = (move.arrival.finger or 1) if move.strings_apart == 0 else 1
    back = stop_in_key(move.instrument, move.key, move.departure.string or 1, move.start, finger)
    return _small(move, out, move.arrival, move.goal), _small(move, back, move.departure, move.start)


def _small(move: Move, tone: Tone, main: Tone, position: int) -> Sequence[SheetNote]:
    if tone.pitch == main.pitch or not is_in_frame(move.instrument, tone, position):
        return ()
    return (SheetNote((tone,), Fraction(0), position),)


def _there_and_back(
    move: Move, out: Sequence[SheetNote], back: Sequence[SheetNote], pause: Sequence[SheetNote]
) -> list[SheetNote]:
    """Departure, arrival, held; arrival, departure, held; `pause` between them takes the second part of the bar."""
    first, second = _halves(move.meter)
    whole = bar_length(move.meter)
    here, there = (move.departure, move.start), (move.arrival, move.goal)
    notes: list[SheetNote] = []
    for (tone, position), (other, goal), small in ((here, there, out), (there, here, back)):
        notes.append(SheetNote((tone,), first, position))
        if pause:
            notes += [replace(note, beats=second, position=position) for note in pause]
            notes += [*small, SheetNote((other,), whole, goal)]
        else:
            # Held on to the end of the next bar, as one note to the ear.
            notes += [*small, SheetNote((other,), second + (whole if second < whole else 0), goal)]
    return notes


def _joined(notes: Sequence[SheetNote]) -> list[SheetNote]:
    return [note for note in notes if not note.is_small]


def _halves(meter: Meter) -> tuple[Fraction, Fraction]:
    """The bar in two parts at a beat, the longer first; in bars of two quarters or less, a bar each."""
    whole, beat = bar_length(meter), beat_length(meter)
    if whole <= 2:
        return whole, whole
    second = whole / beat // 2 * beat
    return whole - second, second


def _rhythm_cells(meter: Meter) -> list[list[Fraction]]:
    """One bar of cells long-short and one short-long; what is left of a bar is a cell of its own."""
    whole, beat = bar_length(meter), beat_length(meter)
    if beat > 1 or whole < 2:
        cell, short = (beat, beat / 3) if beat > 1 else (whole, whole / 3)
    else:
        cell, short = Fraction(2), Fraction(1, 2)
    count = int(whole // cell)
    rest = [[whole - count * cell]] if whole > count * cell else []
    return [*[[cell - short, short]] * count, *rest, *[[short, cell - short]] * count, *rest]


def _in_units(tones: Sequence[Tone], unit: Fraction, position: int) -> list[SheetNote]:
    return [SheetNote((tone,), unit, position) for tone in tones]


def _placed(tones: Sequence[tuple[Tone, int]], unit: Fraction) -> list[SheetNote]:
    return [SheetNote((tone,), unit, position) for tone, position in tones]


def _to_bar_line(meter: Meter, before: int, unit: Fraction, tone: Tone, position: int) -> list[SheetNote]:
    """The last note of a climb, held to a bar line, at least two beats."""
    whole = bar_length(meter)
    left = -(before * unit) % whole
    while left < 2 * unit:
        left += whole
    return [SheetNote((tone,), left, position)]


__all__ = ["Move", "check_line", "exercises"]
