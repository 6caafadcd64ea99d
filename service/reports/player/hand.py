"""The note to listen for where the hand arrives, and what the hand looks like there."""

from __future__ import annotations

from collections.abc import Sequence

from rules import LETTERS, AnchorHelp, FingerPattern, Instrument

from ...messages.message import Wording, sentence
from ...messages.music_words import finger_words, open_string_words, position_words, string_words
from ...messages.player import excursions


def listen_sentence(wording: Wording, instrument: Instrument, anchor: AnchorHelp) -> str:
    """Return how to find an anchor by ear: a climb in first position, the same note after the shift, a check."""
    known = open_string_words(wording, instrument, anchor.known.string)
    if anchor.known.is_open:
        start = wording.say(excursions.PLAY_OPEN, open_string=known)
    else:
        start = wording.say(excursions.CLIMB, notes=" ".join(map(wording.note, anchor.climb)), open_string=known)
    octaves = (anchor.pitch.letter - anchor.climb[-1].letter) // len(LETTERS)
    said = wording.say(
        excursions.HIGHER_NOTE if octaves else excursions.SAME_NOTE,
        octaves or None,
        start=start,
        position=position_words(wording, anchor.position),
        note=wording.note(anchor.pitch),
        string=string_words(wording, instrument, anchor.string),
    )
    if anchor.rings_with is not None:
        ringing = open_string_words(wording, instrument, anchor.rings_with)
        said = wording.say(excursions.RINGS, listen=said, open_string=ringing)
    return sentence(said)


def hand_sentences(wording: Wording, instrument: Instrument, patterns: Sequence[FingerPattern]) -> list[str]:
    """Return the hand string by string, each once; with its position if there are several."""
    several = len({pattern.position for pattern in patterns}) > 1
    said: dict[str, None] = {}
    for pattern in patterns:
        hand = hand_words(wording, instrument, pattern)
        if several:
            hand = wording.say(excursions.IN_POSITION, position=position_words(wording, pattern.position), hand=hand)
        said[sentence(hand)] = None
    return list(said)


def hand_words(wording: Wording, instrument: Instrument, pattern: FingerPattern) -> str:
    """Return "D string: 1 G, 2 A, 3 B, 4 C; semitone between 3 and 4"."""
    fingers = ", ".join(f"{finger} {wording.note(pitch)}" for finger, pitch in pattern.places.items())
    shape = wording.say(excursions.WHOLE_TONES)
    if pattern.half_steps:
        shape = wording.say(excursions.SEMITONES, pairs=_pairs(wording, pattern.half_steps))
    if pattern.wide_steps:
        shape = wording.say(excursions.WIDE, shape=shape, pairs=_pairs(wording, pattern.wide_steps))
    if len(pattern.changing) == 1:
        (finger,) = pattern.changing
        shape = wording.say(excursions.LOW_AND_HIGH, shape=shape, finger=finger_words(wording, finger))
    elif pattern.changing:
        changing = wording.all_of(list(map(str, sorted(pattern.changing))))
        shape = wording.say(excursions.LOW_AND_HIGH_MANY, shape=shape, fingers=changing)
    return wording.say(
        excursions.HAND, string=string_words(wording, instrument, pattern.string), fingers=fingers, shape=shape
    )


def _pairs(wording: Wording, pairs: Sequence[tuple[int, int]]) -> str:
    said = [wording.say(excursions.PAIR, low=str(low), high=str(high)) for low, high in pairs]
    text = said[0]
    for more in said[1:]:
        text = wording.say(excursions.AND_BETWEEN, first=text, second=more)
    return text
