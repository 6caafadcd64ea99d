"""Passages in a short written form, for tests and for the fixtures of the rules.

`"E5:1 B5:2 | (D5:1/2 C#5:1/2) R:1 [D4 B4]:1 ||"`: a pitch, a colon and its length in quarter notes; `R` a rest; square
brackets a chord (a note in another voice with a stroke and its number, `[D4'2 A5]`); round brackets a slur; `|` a bar
line. A length left out is that of the note before, at first 1.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction

from rules import ALL, VIOLIN, Constraint, Event, Instrument, Measure, Note, Passage, Pitch, Plan, cheapest_route

_TOKEN = re.compile(
    r"""\s*(?:(?P<bar>\|\|?)
        |(?P<open>\(*)
         (?:\[(?P<chord>[^\]]+)\]|(?P<single>[A-GR][#b]*-?\d*))
         (?::(?P<beats>\d+(?:/\d+|\.\d+)?))?
         (?P<close>\)*))(?=\s|\||$)""",
    re.VERBOSE,
)


@dataclass(frozen=True)
class _Word:
    """One note, chord or rest as written, with its place."""

    names: tuple[str, ...]
    beats: Fraction
    onset: Fraction
    measure: int
    slurred: bool


def read_passage(
    text: str, tempo: float = 96.0, instrument: Instrument = VIOLIN, meter: tuple[int, int] = (4, 4), fifths: int = 0
) -> Passage:
    """Return the passage that `text` writes down.

    Args:
        text: the short form described at the top of this module.
        tempo: quarter notes a minute.
        instrument: who plays.
        meter: the time signature, which decides where beats fall; bars are as long as their notes.
        fifths: sharps (positive) or flats (negative) of the key, for `Measure.fifths`.

    Raises:
        ValueError: if a word is not in the short form; the message quotes it.
    """
    words, starts, end = _words(text)
    measures = tuple(
        Measure(str(index + 1), start, (starts[index + 1] if index + 1 < len(starts) else end) - start, meter, fifths)
        for index, start in enumerate(starts)
    )
    return Passage("P1", instrument.name.title(), instrument, _events(words, measures, tempo), measures,
                   quarter_tempo=tempo)  # fmt: skip


def _words(text: str) -> tuple[list[_Word], list[Fraction], Fraction]:
    """Return the words of `text`, the onsets of its bars, and its length."""
    words: list[_Word] = []
    starts = [Fraction(0)]
    onset, beats, depth, index = Fraction(0), Fraction(1), 0, 0
    text = text.rstrip()
    while index < len(text):
        token = _TOKEN.match(text, index)
        if token is None or token.end() == index:
            raise ValueError(
                f"not in the short form: {text[index:].split()[0]!r} (write for example E5:1 or [D4 B4]:2)"
            )
        index = token.end()
        if token["bar"]:
            if onset > starts[-1]:
                starts.append(onset)
            continue
        beats = Fraction(token["beats"]) if token["beats"] else beats
        names = tuple((token["chord"] or token["single"]).split())
        words.append(_Word(names, beats, onset, len(starts) - 1, depth > 0))
        depth += len(token["open"]) - len(token["close"])
        onset += beats
        if depth not in (0, 1):
            raise ValueError(f"slurs do not nest, and each closes after it opens: {token.group().strip()!r}")
    if depth:
        raise ValueError("a slur is not closed: write ) after its last note")
    if len(starts) > 1 and starts[-1] == onset:
        starts.pop()
    return words, starts, onset


def _events(words: list[_Word], measures: tuple[Measure, ...], tempo: float) -> tuple[Event, ...]:
    events: list[Event] = []
    silence, row = Fraction(0), 0
    for word in words:
        if word.names == ("R",):
            silence += word.beats
            continue
        sounding = sorted(map(_note, word.names), key=lambda found: found[0].midi)
        measure = measures[word.measure]
        place = (word.onset - measure.onset) / Fraction(4, measure.time_signature[1])
        events.append(
            Event(
                onset=word.onset,
                beats=word.beats,
                seconds=float(word.beats) * 60 / tempo,
                rest=float(silence) * 60 / tempo,
                measure=word.measure,
                beat=place + 1,
                strength=_strength(place),
                notes=tuple(
                    Note(f"P1/m{measure.label}/v1/n{row + index}", pitch, row + index, word.beats, voice)
                    for index, (pitch, voice) in enumerate(sounding)
                ),
                slurred=word.slurred and not silence,
            )
        )
        row += len(sounding)
        silence = Fraction(0)
    return tuple(events)


def _note(name: str) -> tuple[Pitch, str]:
    """Return the pitch and the voice of "D4" or "D4'2"."""
    pitch, _, voice = name.partition("'")
    return Pitch.named(pitch), voice or "1"


def _strength(place: Fraction) -> int:
    """Return the metric weight of a place in the bar, counted in beats from 0 (see `Event.strength`)."""
    if place == 0:
        return 3
    if place.denominator == 1:
        return 2
    return 1 if place.denominator == 2 else 0


def with_tempo(passage: Passage, tempo: float) -> Passage:
    """Return the same notes at another tempo, in quarter notes a minute."""
    ratio = passage.quarter_tempo / tempo
    events = tuple(replace(event, seconds=event.seconds * ratio, rest=event.rest * ratio) for event in passage.events)
    return replace(passage, events=events, quarter_tempo=tempo)


def plan_with_stops(passage: Passage, stops: str) -> Plan:
    """Plan a passage with every stop given as string name and finger, "D2 D2 A0", so that no weight matters."""
    decisions = {}
    for event, word in zip(passage.events, stops.split(), strict=True):
        string = "EADG".index(word[0]) + 1
        decisions[event.notes[0].id] = Constraint(fingers=frozenset({int(word[1])}), strings=frozenset({string}))
    return Plan(passage, ALL, cheapest_route(passage, ALL, decisions=decisions))
