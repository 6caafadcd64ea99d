"""The note to listen for where the hand arrives, and what the hand looks like there."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import pairwise

from rules import FINGERS, LETTERS, WHOLE_TONE, AnchorHelp, FingerPattern, Instrument, Passage, Pitch, PlacedNote

from ...messages.message import Wording, sentence
from ...messages.music_words import bar_list, open_string_words, position_words, runs_of_bars, string_words
from ...messages.player import excursions
from ...messages.player.excursions import Ways

MOST_RUNS = 3
"""Bars, or runs of bars, that are named for one note of a finger."""
MOST_STEPS = 3
"""Pairs of fingers on a string whose steps are told one by one."""


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
    """Return "D string: 1 G, 2 A (A♭ in bar 9), 4 C; whole tone between 1 and 2": the fingers that play."""
    places = [_place(wording, passage, pattern, finger) for finger in sorted(pattern.used)]
    if pattern.rings_open:
        note = wording.note(passage.instrument.open_pitch(pattern.string))
        places.insert(0, wording.say(excursions.OPEN_PLACE, note=note))
    string = string_words(wording, passage.instrument, pattern.string)
    said = wording.say(excursions.HAND, string=string, fingers=", ".join(places))
    shape = _shape(wording, pattern)
    return wording.say(excursions.HAND_SHAPE, hand=said, shape=shape) if shape else said


def _shape(wording: Wording, pattern: FingerPattern) -> str:
    """Where the semitones lie between the fingers; where one of them plays several notes, between which of these.

    Where that would be a long list, it is only how the fingers stand at their places: which bars have other notes is
    told with each finger.
    """
    meeting = {pair: notes for pair, notes in pattern.meeting.items() if not pattern.changing.isdisjoint(pair)}
    steps = _steps(wording, pattern, meeting)
    if sum(map(len, steps.values())) > MOST_STEPS:
        steps = _steps(wording, pattern, meeting, only_at_places=True)
    shape = [
        wording.say(message, pairs=_joined(wording, steps[kind])) for kind, message in _STEPS.items() if steps.get(kind)
    ]
    whole = steps.get("whole", [])
    if not shape and whole:
        throughout = len(whole) > 1 and pattern.changing.isdisjoint(pattern.played)
        shape.append(
            wording.say(excursions.WHOLE_TONES)
            if throughout
            else wording.say(excursions.WHOLE_TONE, pairs=_joined(wording, whole))
        )
    return ", ".join(shape)


def _steps(
    wording: Wording,
    pattern: FingerPattern,
    meeting: Mapping[tuple[int, int], Sequence[tuple[Pitch, Pitch]]],
    *,
    only_at_places: bool = False,
) -> dict[str, list[str]]:
    """The pairs of neighbouring fingers by the step between them, where they meet; else as they stand."""
    found: dict[str, list[str]] = {}
    for pair in pairwise(FINGERS):
        if not pattern.played.keys() >= set(pair):
            continue
        moves = not pattern.changing.isdisjoint(pair)
        at_places = pattern.places[pair[0]], pattern.places[pair[1]]
        for notes in meeting.get(pair, (at_places,)):
            if notes[0] == notes[1] or (only_at_places and notes != at_places):
                continue  # one note of two fingers is told with each of them
            step = notes[1].midi - notes[0].midi
            said = _pair(wording, pair, notes if moves else None)
            kind = _kind_of_step(step) or ("whole" if step > 0 and not moves else None)
            if kind is not None and said not in found.setdefault(kind, []):
                found[kind].append(said)
    return found


_STEPS = {"semitone": excursions.SEMITONES, "wide": excursions.WIDE, "none": excursions.IN_ONE_PLACE}


def _kind_of_step(step: float) -> str | None:
    """What is told of the step from a finger to the next: a whole tone is what a pupil expects."""
    if step == 0:
        return "none"
    if 0 < step <= 1:
        return "semitone"
    return "wide" if step > WHOLE_TONE else None


def _place(wording: Wording, passage: Passage, pattern: FingerPattern, finger: int) -> str:
    """Return "2 A", or "2 A (A♭ in bar 9)" where the finger also plays another note."""
    place, measures = pattern.places[finger], pattern.played.get(finger, ())
    elsewhere, reaches = pattern.elsewhere.get(finger, ()), pattern.reaches.get(finger, ())
    if not measures:
        stretched = wording.all_of([wording.note(other.pitch) for other in reaches])
        if finger > 1:
            return wording.say(excursions.FINGER_STRETCHED, finger=str(finger), note=stretched)
        # Where the first finger stands is where the hand is, and what the ear listens for.
        return wording.say(excursions.FIRST_STRETCHED, note=wording.note(place), others=stretched)
    back = [other for other in reaches if other.pitch.midi < place.midi]
    spellings = [other for other in elsewhere if other.pitch.midi == place.midi]
    found = (
        *_others(wording, passage, measures, spellings, excursions.WRITTEN),
        *_others(wording, passage, measures, [o for o in elsewhere if o not in spellings], excursions.PLAYED),
        *_others(wording, passage, measures, back, excursions.STRETCHED_BACK),
        *_others(wording, passage, measures, [o for o in reaches if o not in back], excursions.STRETCHED),
    )
    # What has no bars comes last, so that nobody gives it those of the next.
    others = [text for has_bars in (True, False) for text, named in found if named is has_bars]
    note = wording.note(place)
    if not others:
        return wording.say(excursions.FINGER_PLACE, finger=str(finger), note=note)
    return wording.say(excursions.FINGER_PLACE_AND, finger=str(finger), note=note, others=", ".join(others))


def _others(
    wording: Wording, passage: Passage, measures: Collection[int], others: Sequence[PlacedNote], ways: Ways
) -> Iterator[tuple[str, bool]]:
    """Other notes of a finger with their bars; where these are many, only that there are such notes.

    Yield what is said, and whether bars are named.

    In bars that have the note of the place as well, the other one comes besides; where no bar has the one without the
    other, no bars are named.
    """
    by_bars: dict[tuple[bool, tuple[tuple[str, ...], ...]], list[str]] = {}
    for other in others:
        runs = runs_of_bars(passage, other.measures)
        tells_apart = not set(measures) <= set(other.measures) and len(runs) <= MOST_RUNS
        only = set(measures).isdisjoint(other.measures)
        key = (only and tells_apart, tuple(map(tuple, runs)) if tells_apart else ())
        by_bars.setdefault(key, []).append(wording.note(other.pitch))
    for (only, named), notes in by_bars.items():
        told = wording.all_of(notes)
        if not named:
            yield wording.say(ways.also, note=told), False
            continue
        yield wording.say(ways.only if only else ways.also_in, note=told, bars=bar_list(wording, named)), True


def _pair(wording: Wording, pair: tuple[int, int], notes: tuple[Pitch, Pitch] | None) -> str:
    """Return "2 and 3", or "2 and 3 (E and F)" where the fingers play other notes as well."""
    low, high = map(str, pair)
    if notes is None:
        return wording.say(excursions.PAIR, low=low, high=high)
    first, second = map(wording.note, notes)
    return wording.say(excursions.PAIR_OF_NOTES, low=low, high=high, first=first, second=second)


def _joined(wording: Wording, pairs: Sequence[str]) -> str:
    text = pairs[0]
    for more in pairs[1:]:
        text = wording.say(excursions.AND_BETWEEN, first=text, second=more)
    return text
