"""Little tunes made for the hand: a melody over a form, with the stops and shifts that are to be practised.

Notes are chosen one after the other; of all beginnings only the best are kept and continued (a beam search), so the
same form, key and hand always give the same tune. What is weighed is what makes a melody singable (common practice of
teachers of composition): steps more than leaps, a leap answered by a step back, chord notes on strong beats, a curve
with one summit, sequences, cadences on the second degree or the leading note.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from ...hand.grip import FINGERS
from ...music.instrument import LETTERS, Instrument
from ...music.key import Key
from ..barring import bars_of
from ..scale_tones import is_in_frame, open_in_key, stop_in_key
from ..sheet import Bar, Bow, SheetNote, Tone
from .forms import ANSWER, CHORDS, Form, chord_of
from .slots import UPBEAT, Hand, Slot, Turn, slots_of, towards_open_strings

BEAM = 30
"""Beginnings that are kept; with more the tunes hardly change."""
ALIKE_ENDINGS = 4
WIDEST_LEAP = 7
"""Steps of the widest leap: an octave."""
NEAR = 7
"""Steps from the curve within which notes are looked for, unless a shift binds them."""


@dataclass(frozen=True, slots=True, eq=False)
class _Choice:
    """A tone that comes into question for a note, with what it costs in its place."""

    tone: Tone
    letter: int
    degree: int
    midi: float
    string: int
    finger: int
    cost: float

    @property
    def stop(self) -> tuple[int, int, float]:
        """What makes it the same stop as another."""
        return self.string, self.finger, self.midi


_Melody = tuple[_Choice, ...]


def compose_tune(instrument: Instrument, key: Key, form: Form, hand: Hand, centre: int) -> tuple[Bar, ...]:
    """Return a tune of sixteen bars; every note lies within the hand's frame in the position of its bar.

    Args:
        instrument: who plays.
        key: of the tune.
        form: its plan.
        hand: where the hand is, and how it moves.
        centre: the letter around which the tune lies (see `Pitch.letter`).

    Raises:
        ValueError: if the hand cannot make such a turn in this key (no stop fits).
    """
    base = _tonic(key, centre)
    slots = towards_open_strings(slots_of(form, hand), instrument, key, base)
    choices = [tuple(_choices(instrument, key, slot, base)) for slot in slots]
    beam: list[tuple[float, _Melody]] = [(0.0, ())]
    for number in range(len(slots)):
        longer = [
            (cost + choice.cost + _moving(slots, number, so_far, choice) + _again(slots, number, summit, choice),
             (*so_far, choice))
            for cost, so_far in beam
            for summit in (_summit(slots, so_far),)
            for choice in _allowed(slots, number, so_far, choices)
        ]  # fmt: skip
        if not longer:
            raise ValueError(f"no finger takes note {number + 1} of {form.name.lower()} in {key.name}")
        longer.sort(key=lambda found: (found[0], found[1][-1].stop))
        beam = _different(longer)
    return _bars(slots, beam[0][1], key, form)


def _different(found: list[tuple[float, _Melody]]) -> list[tuple[float, _Melody]]:
    """The best beginnings, of those that end on the same two notes only a few, so that the ways stay varied."""
    kept: list[tuple[float, _Melody]] = []
    seen: dict[tuple[object, ...], int] = {}
    for cost, melody in found:
        ending = tuple(choice.stop for choice in melody[-2:])
        if seen.get(ending, 0) < ALIKE_ENDINGS:
            seen[ending] = seen.get(ending, 0) + 1
            kept.append((cost, melody))
            if len(kept) == BEAM:
                break
    return kept


def _choices(instrument: Instrument, key: Key, slot: Slot, base: int) -> Iterator[_Choice]:
    for string in instrument.string_numbers:
        tones = [stop_in_key(instrument, key, string, slot.position, finger) for finger in FINGERS]
        if open_in_key(instrument, key, string):
            tones.insert(0, stop_in_key(instrument, key, string, slot.position, 0))
        for tone in tones:
            if key.minor and key.degree(tone.pitch.letter) == 7 and _may_be(slot, 7):
                if not tone.finger:
                    continue  # over the dominant the seventh degree leads, and an open string cannot be raised
                tone = replace(tone, pitch=replace(tone.pitch, alter=tone.pitch.alter + 1))
            bound = slot.turn is not None or slot.leads_to is not None
            near = bound or abs(tone.pitch.letter - base - slot.target) <= NEAR
            if near and is_in_frame(instrument, tone, slot.position):
                cost = _standing(key, slot, tone, base)
                yield _Choice(
                    tone,
                    tone.pitch.letter,
                    key.degree(tone.pitch.letter),
                    tone.pitch.midi,
                    string,
                    tone.finger or 0,
                    cost,
                )


_LEADING = {
    Turn.FIRST_FINGER: (1,), Turn.SECOND_FINGER: (2,), Turn.SLUR: (1, 2), Turn.OPEN_STRING: (0,),
    Turn.GUIDE_FINGER: FINGERS, Turn.REST: FINGERS,
}  # fmt: skip
"""Fingers on which a turn begins."""
GUIDED_LEAP = 4
"""Widest step by a guide finger, in letters."""


def _may_be(slot: Slot, degree: int) -> bool:
    """Whether a degree belongs to a chord that the note can sound over."""
    return any(degree in CHORDS[chord] for chord in slot.chords)


def _allowed(slots: list[Slot], number: int, so_far: _Melody, choices: list[_Melody]) -> Iterator[_Choice]:
    """What the form and the turns permit here, and from which the next turn can be made."""
    slot = slots[number]
    for choice in choices[number] if slot.copies is None else (so_far[slot.copies],):
        if slot.turn is not None and not _arrives(so_far[-1], choice, slot.turn):
            continue
        if slot.leads_to is not None and not _departs(slots, number, so_far, choice, choices):
            continue
        if number == 0 and not _can_be_repeated(slots, choice, choices):
            continue
        yield choice


def _arrives(before: _Choice, choice: _Choice, turn: Turn) -> bool:
    if turn is Turn.OPEN_STRING:
        near = abs(before.string - choice.string) <= 1 and abs(before.letter - choice.letter) <= WIDEST_LEAP
        return before.finger == 0 and choice.finger > 0 and near
    if turn is Turn.REST:
        return choice.finger > 0 and abs(before.string - choice.string) <= 1
    if turn is Turn.GUIDE_FINGER:
        led = (
            before.string == choice.string and before.finger != choice.finger and min(before.finger, choice.finger) > 0
        )
        return led and 0 < abs(before.letter - choice.letter) <= GUIDED_LEAP
    return before.string == choice.string and before.finger == choice.finger and choice.finger in _LEADING[turn]


def _departs(slots: list[Slot], number: int, so_far: _Melody, choice: _Choice, choices: list[_Melody]) -> bool:
    """Whether the turn to the next note can begin here; that note may be known already."""
    turn, known = slots[number].leads_to, slots[number + 1].copies
    if turn is None or choice.finger not in _LEADING[turn]:
        return False
    following = choices[number + 1] if known is None or known >= len(so_far) else (so_far[known],)
    return any(_arrives(choice, arrival, turn) for arrival in following)


def _can_be_repeated(slots: list[Slot], choice: _Choice, choices: list[_Melody]) -> bool:
    """Whether the hand can come back to the first note by the turn that leads to the answer."""
    again = next(index for index, slot in enumerate(slots) if slot.copies == 0)
    turn = slots[again].turn
    return turn is None or any(_arrives(before, choice, turn) for before in choices[again - 1])


_STEPS = {0: 2.0, 1: 0.0, 2: 1.3, 3: 2.8, 4: 3.3, 5: 4.8, 7: 4.4}
_TOO_FAR = 12.0
_WRONG_CHORD = 10.0
_LOWEST_STRING = 4


def _standing(key: Key, slot: Slot, tone: Tone, base: int) -> float:
    """What a tone costs in its place, whatever went before: less is more singable."""
    degree = key.degree(tone.pitch.letter)
    # A tune ends where it feels at home, not an octave above.
    cost = (1.5 if slot.final else 0.4) * abs(tone.pitch.letter - base - slot.target)
    if not _may_be(slot, degree):
        cost += _WRONG_CHORD if slot.place == 0 else 5.0 if slot.strong else 0.2
    cost += _ending(slot, degree) + _beginning(slot, tone)
    if slot.beats >= 2 and tone.finger in (0, 4) and slot.leads_to is not Turn.OPEN_STRING:
        cost += 1.0
    if tone.finger == 0 and slot.position > 1 and slot.leads_to is None:
        cost += 1.2
    return cost


def _beginning(slot: Slot, tone: Tone) -> float:
    """A tune that stays in a new position begins under the first finger, on a string that is easy to reach."""
    if not slot.opening or slot.position == 1:
        return 0.0
    return 0.0 if tone.finger == 1 and tone.string != _LOWEST_STRING else _WRONG_CHORD


def _moving(slots: list[Slot], number: int, so_far: _Melody, choice: _Choice) -> float:
    """What the way to a tone costs."""
    if not so_far:
        return 0.0
    slot, before = slots[number], so_far[-1]
    cost = _harmony(slots, number, so_far, choice) + _step(before, choice, 0.3 if slot.turn is not None else 1.0)
    if len(so_far) > 1:
        cost += _flow(so_far[-2], before, choice)
    if len(so_far) > 2 and so_far[-3].midi == before.midi and so_far[-2].midi == choice.midi:
        cost += 2.5
    if slots[number - 1].bowed_on and before.midi == choice.midi:
        cost += _TOO_FAR  # a slur between two notes of one pitch reads as a tie
    if slot.sequence_of:
        earlier = so_far[slot.sequence_of].letter - so_far[slot.sequence_of - 1].letter
        cost += 0.8 * (choice.letter - before.letter != earlier)
    return cost


def _summit(slots: list[Slot], so_far: _Melody) -> tuple[int, int]:
    """The highest letter so far, and the last bar that has it."""
    return max(((choice.letter, slot.bar) for choice, slot in zip(so_far, slots, strict=False)), default=(0, UPBEAT))


def _again(slots: list[Slot], number: int, summit: tuple[int, int], choice: _Choice) -> float:
    """A summit that is reached again in another bar is none."""
    letter, bar = summit
    return 2.0 * (slots[number].copies is None and choice.letter == letter and slots[number].bar != bar)


def _harmony(slots: list[Slot], number: int, so_far: _Melody, choice: _Choice) -> float:
    """One chord fits all strong notes of a bar; before the end of a phrase it may move on to the dominant."""
    slot = slots[number]
    if not slot.strong or slot.place == 0 or slot.cadence:
        return 0.0
    degrees = [so_far[index].degree for index in range(slot.starts, number) if slots[index].strong]
    chord = chord_of(slot.chords, (*degrees, choice.degree))
    return 8.0 * sum(degree not in CHORDS[chord] for degree in (*degrees, choice.degree))


def _ending(slot: Slot, degree: int) -> float:
    """A tune opens on the tonic's chord and rests on the dominant; it ends by the second degree or leading note."""
    if slot.opening:
        return 0.0 if degree in (1, 3, 5) else 30.0
    if slot.final:
        return 0.0 if degree == 1 else 30.0
    if slot.cadence and slot.bar == ANSWER - 1:
        return {2: 0.0, 5: 0.5, 7: 0.5}.get(degree, 30.0)
    if slot.cadence:
        return {2: 0.0, 7: 0.0, 5: 1.5}.get(degree, 15.0)
    return 0.0


def _step(before: _Choice, choice: _Choice, weight: float) -> float:
    """The interval and the way of the bow between two tones; a leap made by a shift weighs less."""
    letters = abs(choice.letter - before.letter)
    semitones = abs(choice.midi - before.midi)
    cost = weight * _STEPS.get(letters, _TOO_FAR) if letters <= WIDEST_LEAP else 4 * _TOO_FAR
    if semitones == 6 or (letters == 1 and semitones == 3):
        cost += 6.0
    crossed = abs(choice.string - before.string)
    if crossed:
        cost += 0.4 if crossed == 1 else _TOO_FAR
        cost += 4.0 * (semitones == 0 and weight == 1.0)  # the same note again on another string
        if choice.finger == before.finger > 0 and semitones != 7:
            cost += 4.0
    return cost


def _flow(earlier: _Choice, before: _Choice, choice: _Choice) -> float:
    """A leap wants a step back; the same note three times, or to and fro, wants something else."""
    first, second = before.letter - earlier.letter, choice.letter - before.letter
    cost = 0.0
    if abs(first) > 2 and (first * second > 0 or abs(second) > 2):
        cost += 5.5
    if first == second == 0:
        cost += 4.0
    if earlier.midi == choice.midi:
        cost += 0.7
    if first == second and abs(first) == 1:
        cost -= 0.2
    return cost


def _tonic(key: Key, centre: int) -> int:
    """The letter of the tonic nearest below or at the place around which the tune lies."""
    tonic = LETTERS.index(key.tonic[0])
    return min((tonic + 7 * octave for octave in range(3, 7)), key=lambda letter: (abs(letter + 2 - centre), letter))


def _bars(slots: list[Slot], melody: _Melody, key: Key, form: Form) -> tuple[Bar, ...]:
    """The notes in bars, the upbeat in one of its own; with it, the last bar is shorter by as much."""
    upbeat: list[SheetNote] = []
    notes: list[SheetNote] = []
    for slot, choice in zip(slots, melody, strict=True):
        part = upbeat if slot.bar == UPBEAT else notes
        if slot.beats > slot.rest:
            part.append(SheetNote((choice.tone,), slot.beats - slot.rest, slot.position, bowed_on=slot.bowed_on))
        part += [SheetNote((), slot.rest)] if slot.rest else []
    if not upbeat:
        return bars_of(_begun(notes, Bow.DOWN), form.meter, key.fifths)
    strokes = sum(not note.bowed_on for note in upbeat)
    first = Bar(tuple(_begun(upbeat, Bow.UP if strokes % 2 else Bow.DOWN)), form.meter, key.fifths)
    *bars, last = bars_of(notes, form.meter, key.fifths)
    short = replace(last, notes=tuple(note for note in last.notes if not note.is_rest))
    return (first, *bars, short)


def _begun(notes: list[SheetNote], bow: Bow) -> list[SheetNote]:
    """The notes with a stroke on the first, so that the first full bar begins down."""
    return [replace(notes[0], bow=bow), *notes[1:]]


__all__ = ["compose_tune"]
