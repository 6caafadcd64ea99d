"""A progressive set for a player who brings no piece: tunes in each position, one way of shifting after the other."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

from ...music.instrument import VIOLIN, Instrument
from ...music.key import Key
from ...text import english
from ..drills.position_drills import between, finger_pattern, place_name
from ..drills.scale_drills import along_the_string, arpeggio, scale
from ..read_along import legible
from ..sheet import CAUTIONS, Exercise, Section, Sheet, numbered
from .forms import ANSWER, BARS, CALM, CHORDS, FORMS, LIVELY, MIDDLE, RETURN, Form
from .melody import compose_tune
from .second_part import second_part
from .slots import Hand, Turn

POSITIONS = (3, 2, 4, 5)
"""The order in which positions are usually learned (common practice)."""
MOST_ACCIDENTALS = 4


class ShiftStudy(StrEnum):
    """What a tune of the set practises, in the order of difficulty."""

    ALONE = "the position alone"
    FIRST_FINGER = "there and back on the first finger"
    OPEN_STRING = "over an open string"
    REST = "over a rest"
    SECOND_FINGER = "led by the second finger"
    GUIDE_FINGER = "from one finger to another"
    SLUR = "under a slur"
    MIXED = "all ways mixed"


_KIND_WORDS = {
    ShiftStudy.ALONE: english("the position alone"),
    ShiftStudy.FIRST_FINGER: english("there and back on the first finger"),
    ShiftStudy.OPEN_STRING: english("over an open string"),
    ShiftStudy.REST: english("over a rest"),
    ShiftStudy.SECOND_FINGER: english("led by the second finger"),
    ShiftStudy.GUIDE_FINGER: english("from one finger to another"),
    ShiftStudy.SLUR: english("under a slur"),
    ShiftStudy.MIXED: english("all ways mixed"),
}
_TURNS = {
    ShiftStudy.FIRST_FINGER: (Turn.FIRST_FINGER,),
    ShiftStudy.OPEN_STRING: (Turn.OPEN_STRING,),
    ShiftStudy.REST: (Turn.REST,),
    ShiftStudy.SECOND_FINGER: (Turn.SECOND_FINGER,),
    ShiftStudy.GUIDE_FINGER: (Turn.GUIDE_FINGER,),
    ShiftStudy.SLUR: (Turn.SLUR,),
    ShiftStudy.MIXED: (Turn.FIRST_FINGER, Turn.OPEN_STRING, Turn.SLUR, Turn.GUIDE_FINGER),
}
_ADVICE = {
    ShiftStudy.ALONE: english("The hand stays where it is from the first note to the last."),
    ShiftStudy.FIRST_FINGER: english("Finger 1 stays down and takes the hand along."),
    ShiftStudy.OPEN_STRING: english("While the open string rings, the hand has all the time it needs."),
    ShiftStudy.REST: english(
        "Lift the bow, let the hand glide with light fingers, set the finger down, and only then play."
    ),
    ShiftStudy.GUIDE_FINGER: english(
        "The guide finger travels with the hand, light and unheard; then the other one plays."
    ),
    ShiftStudy.SECOND_FINGER: english("The second finger leads; the first travels with it, loose."),
    ShiftStudy.SLUR: english("The bow draws on and slows a little; lighten the finger and glide."),
    ShiftStudy.MIXED: english("Before each shift know how the hand goes: on which finger, or in the rest."),
}


def progressive_set(key: Key, positions: Iterable[int] = POSITIONS, instrument: Instrument = VIOLIN) -> Sheet:
    """Return the set in one key: for each position its page, and a tune for every way of shifting.

    Raises:
        ValueError: for a key with more than four sharps or flats, or a position other than second to fifth.
    """
    if abs(key.fifths) > MOST_ACCIDENTALS:
        raise ValueError(f"{key.name} has more than four sharps or flats; choose a key with fewer")
    wanted = tuple(positions)
    if not wanted or not set(wanted) <= set(POSITIONS):
        raise ValueError("the set is made for second, third, fourth and fifth position")
    sections: list[Section] = []
    for_teacher: list[Section] = []
    for position in wanted:
        sections.append(_page(instrument, key, position))
        chosen = [(kind, form) for kind in ShiftStudy for form in forms_of(position, kind)]
        tunes = tuple(study(instrument, key, position, kind, form) for kind, form in chosen)
        heading = english("Tunes: {positions}", positions=between(1, position))
        advice = english("For each way of shifting, a calm tune, then a lively one. Sing each tune before you play it.")
        sections.append(Section(heading, advice, tunes))
        seconds = tuple(
            second(instrument, key, kind, form, tune) for (kind, form), tune in zip(chosen, tunes, strict=True)
        )
        heading = english("Second parts for the teacher: {positions}", positions=between(1, position))
        below = english("All in first: one note a bar, under the tune.")
        for_teacher.append(Section(heading, below, seconds, is_for_teacher=True))
    title = english("First shifts in {key}", key=key.name)
    # What the teacher plays stands together at the end, to be kept when the rest is handed out.
    marked = numbered(legible(section, instrument) for section in (*sections, *for_teacher))
    who = english("Violin") if instrument is VIOLIN else english("Viola")
    return Sheet(title, who, instrument, marked, CAUTIONS)


def _page(instrument: Instrument, key: Key, position: int) -> Section:
    meter = FORMS[0].meter
    lines = (
        finger_pattern(instrument, key, position, instrument.string_numbers),
        scale(instrument, key, position, meter),
        arpeggio(instrument, key, position, meter),
        # The two strings in the middle, where arm and hand are easiest.
        *(along_the_string(instrument, key, 1, position, string, meter) for string in (3, 2)),
    )
    heading = english("The hand in {position}", position=place_name(position))
    exercises = tuple(filter(None, lines))
    return Section(heading, "", exercises, charts=(position,), fifths=key.fifths, minor=key.minor)


def study(instrument: Instrument, key: Key, position: int, kind: ShiftStudy, form: Form) -> Exercise:
    """Return one tune of the set."""
    number = list(ShiftStudy).index(kind)
    # By turns on the lower and on the upper strings, higher where the hand is higher.
    centre = instrument.open_pitch(3 - number % 2).letter + 1 + position
    if kind is ShiftStudy.ALONE:
        centre = _first_anchor(instrument, key, position, centre)
    bars = compose_tune(instrument, key, form, hand_for(position, kind), centre)
    title = english("{tune}: {kind}", tune=form.name, kind=_KIND_WORDS[kind])
    return Exercise(title, _ADVICE[kind], bars, form.tempo, show_tempo=True)


def _first_anchor(instrument: Instrument, key: Key, position: int, otherwise: int) -> int:
    """The letter under the first finger on a middle string, or the highest, that belongs to the tonic's chord."""
    for string in (3, 2, 1):
        letter = instrument.open_pitch(string).letter + position
        if key.degree(letter) in CHORDS["I"]:
            return letter
    return otherwise


def second(instrument: Instrument, key: Key, kind: ShiftStudy, form: Form, tune: Exercise) -> Exercise:
    """Return the second part to a tune of the set."""
    title = english("Second part to {tune} ({kind})", tune=form.name_within, kind=_KIND_WORDS[kind])
    bars = second_part(instrument, key, form, tune.bars)
    return Exercise(title, "", bars, form.tempo, show_tempo=True, is_essential=True)


def forms_of(position: int, kind: ShiftStudy) -> tuple[Form, Form]:
    """Return the forms of the two tunes for a way of shifting: a calm one and a lively one, others in each position."""
    number = list(ShiftStudy).index(kind) + 3 * POSITIONS.index(position)
    return CALM[number % len(CALM)], LIVELY[number % len(LIVELY)]


def hand_for(position: int, kind: ShiftStudy) -> Hand:
    """Return where the hand is in each of the sixteen bars and how it gets there."""
    if kind is ShiftStudy.ALONE:
        return Hand((position,) * BARS, {})
    quarter = (1, 1, position, position)
    positions = (*quarter, *quarter, position, position, 1, 1, *quarter)
    turns = _TURNS[kind]
    # The return repeats the answer, and with it the way of shifting there.
    places = (ANSWER - 2, MIDDLE - 2, MIDDLE + 2, RETURN + 2)
    order = (0, 0, 1, 0) if len(turns) < len(places) else (0, 2, 3, 2)
    ways = {bar: turns[turn % len(turns)] for bar, turn in zip(places, order, strict=True)}
    # Between question and answer the music breathes, and the hand comes home in the silence.
    early = frozenset({MIDDLE + 1}) if kind is ShiftStudy.MIXED else frozenset()
    return Hand(positions, ways | {ANSWER: Turn.REST}, early)


__all__ = ["MOST_ACCIDENTALS", "POSITIONS", "ShiftStudy", "forms_of", "hand_for", "progressive_set", "study"]
