"""The drills for one shift: find the anchor by ear, there and back, with the guide, over an open string, in one bow.

The order and the content are those that teachers use (common practice): hear the note first, move on a guide finger,
return, and end on a note that the ear can check.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from ...hand.grip import OPEN_KEEPS, own_position
from ...hand.level import ShiftKind
from ...music.instrument import Pitch
from ...music.metre import Meter, bar_length, beat_length, halves
from ...text import Text, english, joined
from ..barring import bars_of
from ..scale_tones import first_position, is_in_frame, open_in_key, stop_in_key
from ..sheet import Bow, Exercise, SheetNote, Tone
from .move import Move, is_reach, lie_together

OCTAVE = 7
"""Letters of an octave."""
_WHISPER = Fraction(1, 2)
"""Quarter notes of a guide before the hand moves."""
SLOW = 60.0
"""Quarter notes a minute."""


def anchor_by_ear(move: Move) -> Exercise | None:
    """The climb to the anchor note in first position, then the same note with the first finger of the new position."""
    if move.is_home:
        return None
    anchor = _anchor(move)
    lowered = False
    heard = _climb(move, anchor.pitch)
    if not heard:
        lowered = True
        heard = _climb(move, Pitch(anchor.pitch.letter - OCTAVE, anchor.pitch.alter))
    if not heard:
        return None
    unit = beat_length(move.meter)
    notes = [*_in_units(heard[:-1], unit, 1), *_to_bar_line(move.meter, len(heard) - 1, unit, heard[-1], 1)]
    arriving = _arriving(move, anchor)
    notes += [*_placed(arriving[:-1], unit), *_to_bar_line(move.meter, len(arriving) - 1, unit, *arriving[-1])]
    met = english("Sing the long note, then arrive with finger 1 and meet the same pitch.")
    if lowered:
        met = english(
            "Sing the long note, then arrive with finger 1 an octave higher: the note itself is out of reach in first."
        )
    return _exercise(english("Find the anchor by ear"), met, notes, move)


def hand_alone(move: Move) -> Exercise:
    """Departure and arrival in long notes, there and back."""
    pause: Sequence[SheetNote] = ()
    if move.kind is ShiftKind.REST:
        pause = (SheetNote((), Fraction(1)),)
        text = english("Lift the bow, let the hand glide with light fingers, set the finger down, and only then play.")
    elif move.between is not None:
        pause = (SheetNote((move.between,), Fraction(1), move.start),)
        text = english("The hand moves while the open string rings.")
    elif move.is_same_finger:
        text = english("Glide as lightly as on a harmonic, and let the finger sink in.")
    elif move.kind is ShiftKind.GUIDE_FINGER and move.guide and move.guide.string == move.arrival.string:
        # Said here too: the drill of the guide may be put aside.
        leading = _small_notes(move)[0]
        text = english(
            "Finger {finger} leads, lightly on the string, and the whole hand goes with it. Separate bows.",
            finger=(leading[0].tones[0] if leading else move.guide).finger or 0,
        )
    elif move.strings_apart == 0 and _small_notes(move) == ((), ()):
        text = english("Finger {finger} lies lightly on the string and travels.", finger=move.arrival.finger or 0)
    elif move.kind is ShiftKind.GUIDE_FINGER and move.guide:
        text = english(
            "Finger {finger} stays lightly on string {string} while the hand travels; then the bow crosses.",
            finger=move.guide.finger or 0,
            string=move.instrument.string_name(move.guide.string or 1),
        )
    else:
        text = english("The whole hand goes, thumb and all. Separate bows.")
    notes = _there_and_back(move, (), (), pause)
    text = joined((text, reach_line(move), check_line(move)))
    exercise = _exercise(english("The shift alone, there and back"), text, notes, move)
    return replace(exercise, is_repeated=True)


def with_guide(move: Move) -> Exercise | None:
    """The guide note played out, then short, then not at all: only felt. None if no finger leads to another.

    On the way home only a guide that the plan has.
    """
    out, back = _small_notes(move)
    if not out or move.strings_apart or (move.is_home and move.guide is None):
        return None
    first, second = halves(move.meter)
    whole = bar_length(move.meter)
    guide = out[0].tones
    there = SheetNote((move.arrival,), whole, move.goal)
    heard = [SheetNote((move.departure,), first, move.start), replace(out[0], beats=second), there]
    short = _there_and_back(move, out, back, ())
    felt = _there_and_back(move, (), (), ())
    text = english("The guide: a long note first, then a short one. Then leave it out: it is only felt. Separate bows.")
    if guide[0].finger in (move.departure.finger, move.arrival.finger):
        text = english(
            "Finger {finger} leads: a long note first, then a short one. Then leave it out: it is only felt. "
            "Separate bows.",
            finger=guide[0].finger or 0,
        )
    if back and back[0].tones[0].finger != guide[0].finger:
        text = joined((text, english("On the way back it is finger {finger}.", finger=back[0].tones[0].finger or 0)))
    return replace(_exercise(english("The guide heard, then hidden"), text, [*heard, *short, *felt], move), dynamic="p")


def check_with_open_string(move: Move) -> Exercise | None:
    """The arrival note beside the open string of its name on a neighbouring string: unison or octave, a double stop."""
    found = _ringing_beside(move)
    if found is None or move.is_home:
        return None
    ringing, interval = found
    whole = bar_length(move.meter)
    both = tuple(sorted((move.arrival, ringing), key=lambda tone: (tone.pitch.midi, -(tone.string or 0))))
    notes = [
        SheetNote((move.departure,), whole, move.start),
        SheetNote((move.arrival,), whole, move.goal),
        SheetNote(both, whole, move.goal),
        SheetNote((ringing,), whole, move.goal),
    ]
    text = english(
        "With the open string it is {interval}. If it beats, roll the finger until it is calm.", interval=interval
    )
    return _exercise(english("Check with the open string"), text, notes, move)


def _ringing_beside(move: Move) -> tuple[Tone, Text] | None:
    """An open string next to the arrival's that is in unison with it or an octave away."""
    arrival = move.arrival
    for string in ((arrival.string or 0) - 1, (arrival.string or 0) + 1):
        if string not in move.instrument.string_numbers or arrival.harmonic:
            continue
        pitch = move.instrument.open_pitch(string)
        apart = abs(pitch.midi - arrival.pitch.midi)
        if pitch.step == arrival.pitch.step and pitch.alter == arrival.pitch.alter and apart in (0, 12):
            return Tone(pitch, 0, string), english("a unison") if apart == 0 else english("an octave")
    return None


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
            text = english("Move while the open string rings; no hurry and no slide to be heard.")
            return _exercise(english("Over an open string"), text, _there_and_back(move, (), (), (rung,)), move)
    return None


def in_one_bow(move: Move) -> Exercise | None:
    """Departure and arrival in the same bow, on one string, if the level has such shifts or the piece asks for one.

    None if both have the same pitch: the slur would be read as a tie.
    """
    if not move.is_sounding or move.strings_apart or not (move.may_slur or move.is_slurred):
        return None
    if move.departure.pitch.midi == move.arrival.pitch.midi:
        return None
    notes = _there_and_back(move, (), (), ())
    bound = [replace(note, bowed_on=index % 2 == 0, ad_libitum=not move.may_slur) for index, note in enumerate(notes)]
    text = english("The bow goes on for both notes and slows a little while the hand travels.")
    if not move.may_slur:
        ask = english(
            "The piece asks for this shift within a slur, which the level does not have yet: ask your teacher."
        )
        text = joined((ask, text))
    return _exercise(english("In the same bow"), text, bound, move)


def check_line(move: Move) -> Text:
    """Return the sentence that tells how the ear checks the arrival, or nothing."""
    pitch = move.arrival.pitch
    if pitch == move.departure.pitch:
        return english("Check: the pitch is the same as before.")
    ringing = [
        (abs(open_pitch.midi - pitch.midi) // 12, string)
        for string in move.instrument.string_numbers
        if (open_pitch := move.instrument.open_pitch(string)).step == pitch.step
        and (open_pitch.midi - pitch.midi) % 12 == 0
    ]
    if ringing and min(ringing)[0] <= 2:
        octaves, string = min(ringing)
        return _from_the_open_string(int(octaves), pitch.letter_name, move.instrument.string_name(string))
    known = first_position(move.instrument, pitch)
    if known is None or known.string is None or move.goal == 1:
        return Text()
    string_name = move.instrument.string_name(known.string)
    return english(
        "Check: in first it is finger {finger} on string {string}.",
        finger=known.finger or 0,
        string=string_name,
    )


def _from_the_open_string(octaves: int, note: str, string: str) -> Text:
    """How a pitch stands to an open string of its name."""
    if octaves == 0:
        return english("Check: {note} is the same pitch as the open {string}.", note=note, string=string)
    if octaves == 1:
        return english("Check: {note} is an octave from the open {string}.", note=note, string=string)
    return english("Check: {note} is two octaves from the open {string}.", note=note, string=string)


def reach_line(move: Move) -> Text:
    """Return the sentence that announces a finger which reaches out of the frame, or nothing."""
    for tone, position in ((move.arrival, move.goal), (move.departure, move.start)):
        stands = _stands(move, tone, position)
        if stands:
            return stands
        if is_reach(move.instrument, tone, position):
            return english(
                "Finger {finger} reaches out for {note}; the hand stays behind it, without strain.",
                finger=tone.finger or 0,
                note=tone.pitch.letter_name,
            )
    return Text()


def _stands(move: Move, tone: Tone, position: int) -> Text:
    """Where a finger stands that takes the letter of its neighbour without leaving the frame; nothing for others."""
    if not tone.finger or tone.string is None or tone.harmonic or not is_in_frame(move.instrument, tone, position):
        return Text()
    letters = tone.pitch.letter - move.instrument.open_pitch(tone.string).letter
    above = own_position(letters, tone.finger) - position
    if not above or is_reach(move.instrument, tone, position):
        return Text()
    if above > 0:
        return english("Finger {finger} stands high: a half step above its place.", finger=tone.finger)
    return english("Finger {finger} stands low: a half step below its place.", finger=tone.finger)


def _exercise(title: str, text: str, notes: Sequence[SheetNote], move: Move) -> Exercise:
    begun = [replace(notes[0], bow=Bow.DOWN), *notes[1:]]
    return Exercise(title, text, bars_of(begun, move.meter, move.key.fifths, fill=True), SLOW)


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
    found = (
        [(first, move.start), (anchor, move.goal)]
        if is_in_frame(move.instrument, first, move.start)
        else [(anchor, move.goal)]
    )
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
    if not move.is_sounding or move.is_same_finger:
        return (), ()
    # A guide on another string belongs to a chord: it leads no note of this line.
    out = move.guide if move.guide and move.guide.string == move.arrival.string else _anchor(move)
    out_string, back_string = move.arrival.string or 1, move.departure.string or 1
    # The finger that arrives may lead: it is set down behind the one that played, and goes with the hand. It does so
    # where the finger that played would glide past the note of arrival, and then have to be lifted.
    lead = move.lead
    if move.strings_apart == 0 and move.goal > move.start and out.pitch.midi > move.arrival.pitch.midi:
        lead, out = lead or _in_place(move, out_string, move.start, move.arrival.finger), move.arrival
    before = _small(move, lead, move.departure, move.start) if lead and move.strings_apart == 0 else ()
    # Back on the finger that played the arrival, or on the first finger where the string changes.
    back = _in_place(move, back_string, move.start, move.arrival.finger if move.strings_apart == 0 else 1)
    way_back = _small(move, back, move.departure, move.start)
    if move.strings_apart == 0 and move.start > move.goal and back.pitch.midi > move.departure.pitch.midi:
        # The way back leads up here, and the same holds for it.
        behind = _in_place(move, back_string, move.goal, move.departure.finger)
        way_back = _small(move, behind, move.arrival, move.goal)
    return before or _small(move, out, move.arrival, move.goal), way_back


def _in_place(move: Move, string: int, position: int, finger: int | None) -> Tone:
    """What a finger stands on in a position, as the key has it."""
    return stop_in_key(move.instrument, move.key, string, position, finger or 1)


def _small(move: Move, tone: Tone, main: Tone, position: int) -> Sequence[SheetNote]:
    if tone.pitch == main.pitch or not is_in_frame(move.instrument, tone, position):
        return ()
    if tone.string == main.string and not lie_together(move.instrument, tone, main):
        return ()
    return (SheetNote((tone,), Fraction(0), position),)


def _there_and_back(
    move: Move, out: Sequence[SheetNote], back: Sequence[SheetNote], pause: Sequence[SheetNote]
) -> list[SheetNote]:
    """Departure, arrival, held; arrival, departure, held; `pause` between them takes the second part of the bar.

    A small note before the hand moves is written out, half a beat of the note before it: else the hand had no time.
    """
    first, second = halves(move.meter)
    whole = bar_length(move.meter)
    here, there = (move.departure, move.start), (move.arrival, move.goal)
    notes: list[SheetNote] = []
    for (tone, position), (other, goal), small in ((here, there, out), (there, here, back)):
        taken = _WHISPER if small and small[0].position == position else Fraction(0)
        small = [replace(note, beats=taken) for note in small]
        notes.append(SheetNote((tone,), first - taken, position))
        if pause:
            notes += [replace(note, beats=second, position=position) for note in pause]
            notes += [*small, SheetNote((other,), whole, goal)]
        else:
            # Held on to the end of the next bar, as one note to the ear.
            notes += [*small, SheetNote((other,), second + (whole if second < whole else 0), goal)]
    return notes


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


__all__ = ["anchor_by_ear", "check_line", "check_with_open_string", "hand_alone", "in_one_bow", "over_open_string",
           "with_guide"]  # fmt: skip
