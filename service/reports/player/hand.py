"""The note to listen for where the hand arrives, and what the hand looks like there."""

from __future__ import annotations

from collections.abc import Sequence

from rules import LETTERS, AnchorHelp, FingerPattern, Instrument, Passage, PlacedNote

from ...messages.message import Message, Wording, sentence
from ...messages.music_words import bar_list, open_string_words, position_words, runs_of_bars, string_words
from ...messages.player import excursions

MOST_RUNS = 3
"""Bars, or runs of bars, that are named for one note of a finger."""


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


def hand_sentences(wording: Wording, passage: Passage, patterns: Sequence[FingerPattern]) -> list[str]:
    """Return the hand string by string, each once; with its position if there are several."""
    several = len({pattern.position for pattern in patterns}) > 1
    said: dict[str, None] = {}
    for pattern in patterns:
        hand = hand_words(wording, passage, pattern)
        if several:
            hand = wording.say(excursions.IN_POSITION, position=position_words(wording, pattern.position), hand=hand)
        said[sentence(hand)] = None
    return list(said)


def hand_words(wording: Wording, passage: Passage, pattern: FingerPattern) -> str:
    """Return "D string: 1 G, 2 A (A♭ in bar 9), 3 B, 4 C; semitone between 3 and 4"."""
    fingers = ", ".join(_place(wording, passage, pattern, finger) for finger in pattern.places)
    string = string_words(wording, passage.instrument, pattern.string)
    return wording.say(excursions.HAND, string=string, fingers=fingers, shape=_shape(wording, pattern))


def _shape(wording: Wording, pattern: FingerPattern) -> str:
    """Where the semitones lie between the places; whether it is otherwise at times is told by the notes themselves."""
    shape = wording.say(excursions.WHOLE_TONES)
    if pattern.half_steps:
        shape = wording.say(excursions.SEMITONES, pairs=_pairs(wording, pattern.half_steps))
    if pattern.wide_steps:
        shape = wording.say(excursions.WIDE, shape=shape, pairs=_pairs(wording, pattern.wide_steps))
    told = {finger for pair in (*pattern.half_steps, *pattern.wide_steps) for finger in pair} or set(pattern.places)
    return shape if told.isdisjoint(pattern.changing) else wording.say(excursions.OTHERWISE, shape=shape)


def _place(wording: Wording, passage: Passage, pattern: FingerPattern, finger: int) -> str:
    """Return "2 A", or "2 A (A♭ in bar 9)" where the finger also plays another note."""
    note = wording.note(pattern.places[finger])
    others = [
        *_others(wording, passage, pattern.elsewhere.get(finger, ()), excursions.NOTE_IN, excursions.ALSO),
        *_others(wording, passage, pattern.reaches.get(finger, ()), excursions.STRETCHED_IN, excursions.ALSO_STRETCHED),
    ]
    if not others:
        return wording.say(excursions.FINGER_PLACE, finger=str(finger), note=note)
    return wording.say(excursions.FINGER_PLACE_AND, finger=str(finger), note=note, others=wording.all_of(others))


def _others(
    wording: Wording, passage: Passage, others: Sequence[PlacedNote], named: Message, at_times: Message
) -> list[str]:
    """Other notes of a finger with their bars; where these are many, only that there are such notes."""
    by_bars: dict[tuple[tuple[str, ...], ...], list[str]] = {}
    for other in others:
        runs = runs_of_bars(passage, other.measures)
        key = () if len(runs) > MOST_RUNS else tuple(map(tuple, runs))
        by_bars.setdefault(key, []).append(wording.note(other.pitch))
    return [
        wording.say(named, note=wording.all_of(notes), bars=bar_list(wording, runs))
        if runs
        else wording.say(at_times, note=wording.all_of(notes))
        for runs, notes in by_bars.items()
    ]


def _pairs(wording: Wording, pairs: Sequence[tuple[int, int]]) -> str:
    said = [wording.say(excursions.PAIR, low=str(low), high=str(high)) for low, high in pairs]
    text = said[0]
    for more in said[1:]:
        text = wording.say(excursions.AND_BETWEEN, first=text, second=more)
    return text
