"""An ABC tune as MusicXML, and where in the ABC every written note stands."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm

from lxml import etree
from lxml.etree import SubElement, _Element

from ....errors import said
from ..header import HEADER
from .elements import write_clef, write_key, write_marks, write_metre, write_pitch, write_type
from .file import AbcFile, Tune, no_abc
from .music import Bar, Head, Sound, Voice
from .numbers import numbered
from .reader import read_tune

_TYPES = {
    Fraction(32): "maxima", Fraction(16): "long", Fraction(8): "breve", Fraction(4): "whole", Fraction(2): "half",
    Fraction(1): "quarter", Fraction(1, 2): "eighth", Fraction(1, 4): "16th", Fraction(1, 8): "32nd",
    Fraction(1, 16): "64th", Fraction(1, 32): "128th", Fraction(1, 64): "256th",
}  # fmt: skip
_WRITTEN = {
    length * dots: (name, number)
    for number, dots in enumerate((Fraction(1), Fraction(3, 2), Fraction(7, 4)))
    for length, name in _TYPES.items()
}
_LONGEST_DIVISIONS = 1_000_000
_DYNAMICS = frozenset({"pppp", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "ffff", "sfz", "fp", "sf"})


@dataclass(frozen=True)
class WrittenTune:
    """A tune as MusicXML. `places` has, for each note element in order, the offset before its head and of its words."""

    data: bytes
    places: tuple[tuple[int, int] | None, ...]


def write_tune(file: AbcFile, tune: Tune, part_prefix: str = "P") -> WrittenTune:
    """Return a tune as MusicXML, one part a voice.

    Raises:
        ScoreError: `not-converted`.
    """
    voices = read_tune(file, tune)
    if not any(sound.heads for voice in voices for sound in voice.sounds):
        raise no_abc(said("there are no notes in it"), tune.lines[-1].number)
    return _Writer(tune, voices, part_prefix).write()


class _Writer:
    def __init__(self, tune: Tune, voices: Sequence[Voice], prefix: str) -> None:
        self._tune, self._voices, self._prefix = tune, voices, prefix
        self._places: list[tuple[int, int] | None] = []
        self._open_slurs: list[int] = []
        self._written = Fraction(0)
        self._ending = "1"
        lengths = [bar.metre.beats for voice in voices for bar in voice.bars if bar.metre and bar.metre.beats]
        lengths += [sound.beats for voice in voices for sound in voice.sounds]
        self._divisions = lcm(1, *(each.denominator for each in lengths))
        if self._divisions > _LONGEST_DIVISIONS:
            raise no_abc(said("its notes have no common measure that can be written"), tune.lines[0].number)

    def write(self) -> WrittenTune:
        root = etree.Element("score-partwise", version="4.0")
        if self._tune.title:
            SubElement(SubElement(root, "work"), "work-title").text = self._tune.title
        composer = next((line.value for line in self._tune.lines if line.field == "C" and line.value), "")
        identification = SubElement(root, "identification")
        if composer:
            SubElement(identification, "creator", type="composer").text = composer
        supports = SubElement(identification, "encoding")
        SubElement(supports, "supports", element="beam", type="yes")
        part_list = SubElement(root, "part-list")
        bars = max(len(voice.bars) for voice in self._voices)
        for number, voice in enumerate(self._voices, start=1):
            listed = SubElement(part_list, "score-part", id=f"{self._prefix}{number}")
            SubElement(listed, "part-name").text = _name(voice)
            if voice.short:
                SubElement(listed, "part-abbreviation").text = voice.short
        for number, voice in enumerate(self._voices, start=1):
            self._part(SubElement(root, "part", id=f"{self._prefix}{number}"), voice, bars)
        etree.indent(root, " ")
        return WrittenTune(HEADER + etree.tostring(root, encoding="utf-8") + b"\n", tuple(self._places))

    def _part(self, part: _Element, voice: Voice, bars: int) -> None:
        self._open_slurs = []
        for first, (bar, number, implicit) in enumerate(numbered(voice.bars)):
            measure = SubElement(part, "measure", number=number)
            if implicit:
                measure.set("implicit", "yes")
            self._left(measure, bar)
            self._attributes(measure, bar, first == 0)
            self._tempo(measure, bar)
            for layer_number, layer in enumerate(bar.layers, start=1):
                if layer_number > 1:
                    self._duration(SubElement(measure, "backup"), self._written)
                self._written = Fraction(0)
                self._layer(measure, layer, str(layer_number), bar.rests_whole)
            self._right(measure, bar)
        for missing in range(len(voice.bars), bars):
            SubElement(part, "measure", number=f"X{missing + 1}", implicit="yes")

    def _left(self, measure: _Element, bar: Bar) -> None:
        if not bar.repeat_begins and not bar.ending:
            return
        line = SubElement(measure, "barline", location="left")
        if bar.repeat_begins:
            SubElement(line, "bar-style").text = "heavy-light"
        if bar.ending:
            SubElement(line, "ending", number=bar.ending, type="start")
            self._ending = bar.ending
        if bar.repeat_begins:
            SubElement(line, "repeat", direction="forward")

    def _right(self, measure: _Element, bar: Bar) -> None:
        if not (bar.repeat_ends or bar.style or bar.ending_stops):
            return
        line = SubElement(measure, "barline", location="right")
        if bar.repeat_ends or bar.style:
            heavy = bar.repeat_ends or bar.style == "heavy"
            SubElement(line, "bar-style").text = "light-heavy" if heavy else "light-light"
        if bar.ending_stops:
            kind = "stop" if bar.repeat_ends else "discontinue"
            SubElement(line, "ending", number=self._ending, type=kind)
        if bar.repeat_ends:
            SubElement(line, "repeat", direction="backward")

    def _attributes(self, measure: _Element, bar: Bar, first: bool) -> None:
        if not (first or bar.key or bar.metre or bar.clef):
            return
        attributes = SubElement(measure, "attributes")
        if first:
            SubElement(attributes, "divisions").text = str(self._divisions)
        if bar.key is not None:
            write_key(attributes, bar.key)
        if bar.metre is not None:
            write_metre(attributes, bar.metre)
        if bar.clef is not None:
            write_clef(attributes, bar.clef)

    def _tempo(self, measure: _Element, bar: Bar) -> None:
        tempo = bar.tempo
        if tempo is None or not (tempo.words or tempo.per_minute):
            return
        direction = SubElement(measure, "direction", placement="above")
        if tempo.words:
            SubElement(SubElement(direction, "direction-type"), "words").text = tempo.words
        if tempo.per_minute is not None and tempo.length is not None:
            written = _WRITTEN.get(tempo.length)
            if written is not None:
                metronome = SubElement(SubElement(direction, "direction-type"), "metronome")
                SubElement(metronome, "beat-unit").text = written[0]
                for _ in range(written[1]):
                    SubElement(metronome, "beat-unit-dot")
                SubElement(metronome, "per-minute").text = str(tempo.per_minute)
            if written is not None or tempo.words:
                SubElement(direction, "sound", tempo=f"{float(tempo.per_minute * tempo.length):g}")

    def _layer(self, measure: _Element, layer: Sequence[Sound], voice: str, whole: bool) -> None:
        beams = _beams(layer)
        for sound in layer:
            self._directions(measure, sound)
            pieces = _pieces(sound)
            for number, (beats, kind) in enumerate(pieces):
                first, last = number == 0, number + 1 == len(pieces)
                for index, head in enumerate(sound.heads or [None]):
                    note = SubElement(measure, "note")
                    self._note(note, sound, head, beats, kind, voice, index > 0, first, last)
                    if whole and not sound.heads:
                        note.find("rest").set("measure", "yes")  # type: ignore[union-attr]
                    if index == 0 and first and (beam := beams.get(id(sound))):
                        SubElement(note, "beam", number="1").text = beam
                    self._notations(note, sound, head, index == 0, first, last)
                    place = (head.at, sound.at) if head is not None and first else None
                    self._places.append(place)
                if not sound.grace:
                    self._written += beats

    def _directions(self, measure: _Element, sound: Sound) -> None:
        for text in sound.words:
            direction = SubElement(measure, "direction", placement="above")
            SubElement(SubElement(direction, "direction-type"), "words").text = text
        for mark in sound.marks:
            if mark in _DYNAMICS:
                direction = SubElement(measure, "direction", placement="below")
                SubElement(SubElement(SubElement(direction, "direction-type"), "dynamics"), mark)

    def _note(
        self, note: _Element, sound: Sound, head: Head | None, beats: Fraction, kind: tuple[str, int] | None,
        voice: str, chord: bool, first: bool, last: bool,
    ) -> None:  # fmt: skip
        if sound.hidden:
            note.set("print-object", "no")
        if sound.grace:
            SubElement(note, "grace")
        if chord:
            SubElement(note, "chord")
        write_pitch(note, head)
        if not sound.grace:
            self._duration(note, beats)
        for edge in _ties(head, first, last):
            SubElement(note, "tie", type=edge)
        SubElement(note, "voice").text = voice
        write_type(note, kind, None if sound.grace else sound.ratio)

    def _duration(self, element: _Element, beats: Fraction) -> None:
        SubElement(element, "duration").text = str(int(beats * self._divisions))

    def _notations(
        self, note: _Element, sound: Sound, head: Head | None, lowest: bool, first: bool, last: bool
    ) -> None:
        notations = etree.Element("notations")
        for edge in _ties(head, first, last):
            SubElement(notations, "tied", type=edge)
        if lowest:
            self._slurs(notations, sound, first, last)
            if sound.tuplet_begins and first:
                SubElement(notations, "tuplet", type="start")
            if sound.tuplet_ends and last:
                SubElement(notations, "tuplet", type="stop")
        if first:
            write_marks(notations, sound.marks if lowest else [], head)
        if len(notations):
            note.append(notations)

    def _slurs(self, notations: _Element, sound: Sound, first: bool, last: bool) -> None:
        for _ in range(sound.slurs_end if last else 0):
            if self._open_slurs:
                SubElement(notations, "slur", type="stop", number=str(self._open_slurs.pop()))
        for _ in range(sound.slurs_begin if first else 0):
            free = next((number for number in range(1, 7) if number not in self._open_slurs), None)
            if free is not None:
                self._open_slurs.append(free)
                SubElement(notations, "slur", type="start", number=str(free))


def _name(voice: Voice) -> str:
    """The name of a voice; the letters it goes by, if it has no other."""
    return voice.name or voice.short or ("" if voice.id.isdigit() else voice.id)


def _ties(head: Head | None, first: bool, last: bool) -> Iterator[str]:
    """The ends of ties of one piece of a note; pieces are tied to each other."""
    if head is None:
        return
    if head.tie_ends or not first:
        yield "stop"
    if head.tied or not last:
        yield "start"


def _pieces(sound: Sound) -> list[tuple[Fraction, tuple[str, int] | None]]:
    """A length as note values, tied to each other where one is not enough; a rest and a grace note stay whole."""
    times = Fraction(1) if sound.ratio is None or sound.grace else Fraction(*sound.ratio)
    left = sound.beats * times
    if left in _WRITTEN or sound.grace or not sound.heads:
        return [(sound.beats, _WRITTEN.get(left))]
    pieces: list[tuple[Fraction, tuple[str, int] | None]] = []
    while left:
        length = max((each for each in _WRITTEN if each <= left), default=None)
        if length is None:
            return [(sound.beats, None)]
        pieces.append((length / times, _WRITTEN[length]))
        left -= length
    return pieces


def _beams(layer: Sequence[Sound]) -> dict[int, str]:
    """The first beam of each sound, by identity: notes below a quarter that stand together without a blank."""
    found: dict[int, str] = {}
    group: list[Sound] = []
    for sound in (each for each in layer if not each.grace):
        written = sound.beats * (Fraction(*sound.ratio) if sound.ratio else 1)
        short = bool(sound.heads) and written < 1 and written in _WRITTEN
        if short:
            group.append(sound)
        if not short or not sound.joined:
            found |= _beam_group(group)
            group = []
    return found | _beam_group(group)


def _beam_group(group: Sequence[Sound]) -> dict[int, str]:
    if len(group) < 2:
        return {}
    words = ["begin", *["continue"] * (len(group) - 2), "end"]
    return {id(sound): word for sound, word in zip(group, words, strict=True)}
