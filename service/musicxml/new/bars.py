"""The notes of one exercise as elements: value, accidental, beam, tuplet, slur, finger and string."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction

from lxml.etree import SubElement, _Element

from rules import Bar, Head, Pitch, SheetNote, Sign, Tone, bar_length, beat_length, tuplet_of

from ...naming import StringMarks, string_numeral
from ..notation.note_marks import AD_LIBITUM, SIGNS

_TYPES = {
    Fraction(8): "breve", Fraction(4): "whole", Fraction(2): "half", Fraction(1): "quarter",
    Fraction(1, 2): "eighth", Fraction(1, 4): "16th", Fraction(1, 8): "32nd", Fraction(1, 16): "64th",
    Fraction(1, 32): "128th",
}  # fmt: skip
_FLAGS = {"eighth": 1, "16th": 2, "32nd": 3, "64th": 4, "128th": 5}
_ACCIDENTALS = {-2.0: "flat-flat", -1.0: "flat", 0.0: "natural", 1.0: "sharp", 2.0: "double-sharp",
                -0.5: "quarter-flat", 0.5: "quarter-sharp", -1.5: "three-quarters-flat",
                1.5: "three-quarters-sharp"}  # fmt: skip

_SIGN_NAMES = {sign: name for name, sign in reversed(SIGNS.items())}
"""The first name of each sign: that of its element, for a tremolo with its strokes."""
_ARTICULATIONS = frozenset(
    {
        Sign.STACCATO,
        Sign.STACCATISSIMO,
        Sign.SPICCATO,
        Sign.TENUTO,
        Sign.PORTATO,
        Sign.ACCENT,
        Sign.STRONG_ACCENT,
    }
)
_ORNAMENTS = frozenset(
    {
        Sign.TRILL,
        Sign.TURN,
        Sign.INVERTED_TURN,
        Sign.MORDENT,
        Sign.INVERTED_MORDENT,
        Sign.TREMOLO_1,
        Sign.TREMOLO_2,
        Sign.TREMOLO_3,
    }
)
_BOWS = frozenset({Sign.UP_BOW, Sign.DOWN_BOW})
_HEADS = {Head.SILENT: "x", Head.LIGHT: "diamond"}


def quantity(value: float) -> str:
    """Return a number without a needless fraction."""
    return str(int(value)) if value == int(value) else f"{value:.2f}"


class BarWriter:
    """Writes the bars of one exercise; remembers position, strings and slurs from bar to bar."""

    def __init__(self, divisions: int, word: Callable[[int], str], strings: StringMarks = StringMarks.WORDS) -> None:
        self._divisions = divisions
        self._word = word
        self._strings = strings
        self._position: int | None = None
        self._in_slur = False
        self._bracket = False
        self._tied: frozenset[Pitch] = frozenset()

    def write(self, measure: _Element, bar: Bar) -> None:
        """Write the notes of one bar."""
        notes = bar.notes
        beams, tuplets = _beams(notes, bar), _tuplets(notes)
        altered: dict[int, float] = {}
        for index, note in enumerate(notes):
            self._name_strings_and_position(measure, note)
            self._bracket_lines(measure, note)
            _loudness(measure, note)
            for place, tone in enumerate(note.tones or (None,)):
                element = SubElement(measure, "note")
                self._value(element, note, tone, place > 0, bar)
                if tone is not None:
                    self._accidental(element, tone.pitch, bar.fifths, altered)
                self._rest_of(element, note, place, beams[index], tuplets[index])
                if tone is not None:
                    self._notations(element, note, tone, place, tuplets[index])
                elif tuplets[index]:
                    _tuplet_marks(SubElement(element, "notations"), tuplets[index])
            self._in_slur = note.bowed_on or (note.tied and self._in_slur)
            if note.ends_hairpin:
                _wedge(measure, "stop")
            if not note.is_small:
                self._tied = frozenset(tone.pitch for tone in note.tones) if note.tied else frozenset()

    def _name_strings_and_position(self, measure: _Element, note: SheetNote) -> None:
        """Programs stack words outward from the staff: the string stays next to its note."""
        if self._strings is not StringMarks.ELEMENTS and self._has_numeral(note):
            _words(measure, string_numeral(note.tones[0].string or 0))
        if note.is_rest or note.position is None or (note.is_open and not note.name_position):
            return
        if note.position == self._position and not note.name_position:
            return
        self._position = note.position
        _words(measure, self._word(note.position))

    def _has_numeral(self, note: SheetNote) -> bool:
        """Whether a numeral can name the string: on a chord nobody could tell whose it is."""
        if len(note.tones) != 1 or note.tones[0].pitch in self._tied:
            return False
        return note.tones[0].show_string and note.tones[0].string is not None

    def _bracket_lines(self, measure: _Element, note: SheetNote) -> None:
        """Half steps: a bracket from this note to the next; it ends right before the note it leads to."""
        if self._bracket:
            _bracket(measure, "stop")
        if note.half_step:
            _bracket(measure, "start")
        self._bracket = note.half_step

    def _value(self, element: _Element, note: SheetNote, tone: Tone | None, is_chord: bool, bar: Bar) -> None:
        _kind(element, note, tone, is_chord)
        whole_bar = _is_bar_rest(note, bar)
        if tone is None:
            rest = SubElement(element, "rest")
            if whole_bar:
                rest.set("measure", "yes")
        else:
            _pitch(element, tone.pitch)
        if not note.is_small:
            SubElement(element, "duration").text = str(note.beats * self._divisions)
            for kind in self._ties(note, tone):
                SubElement(element, "tie", type=kind)
        if note.ad_libitum and tone is not None:
            SubElement(element, "level").text = AD_LIBITUM
        SubElement(element, "voice").text = "1"
        if not whole_bar:
            _written_type(element, note)

    def _ties(self, note: SheetNote, tone: Tone | None) -> list[str]:
        if tone is None or note.is_small or tone.finger is None:
            return []
        return ["stop"] * (tone.pitch in self._tied) + ["start"] * note.tied

    def _accidental(self, element: _Element, pitch: Pitch, fifths: int, altered: dict[int, float]) -> None:
        if pitch in self._tied:
            return
        if altered.get(pitch.letter, _signature(pitch.step, fifths)) != pitch.alter:
            SubElement(element, "accidental").text = _ACCIDENTALS.get(float(pitch.alter), "other")
        altered[pitch.letter] = pitch.alter

    def _rest_of(
        self, element: _Element, note: SheetNote, place: int, beams: Sequence[str], tuplet: tuple[int, int, str] | None
    ) -> None:
        if tuplet:
            modification = SubElement(element, "time-modification")
            SubElement(modification, "actual-notes").text = str(tuplet[0])
            SubElement(modification, "normal-notes").text = str(tuplet[1])
        if note.tones and note.tones[place].head in _HEADS:
            SubElement(element, "notehead").text = _HEADS[note.tones[place].head]
        if place == 0:
            for number, value in enumerate(beams, start=1):
                SubElement(element, "beam", number=str(number)).text = value

    def _notations(
        self, element: _Element, note: SheetNote, tone: Tone, place: int, tuplet: tuple[int, int, str] | None
    ) -> None:
        ties = self._ties(note, tone)
        slurs = self._slurs(note) if place == 0 else []
        struck = "stop" not in ties
        marked = struck and (tone.show_finger or tone.show_string) and tone.finger is not None
        signs = note.signs if place == 0 and struck else ()
        bowed = place == 0 and struck and (note.bow is not None or not _BOWS.isdisjoint(signs))
        if not (signs or ties or slurs or marked or bowed or tone.harmonic or (tuplet and tuplet[2] and place == 0)):
            return
        notations = SubElement(element, "notations")
        for kind in ties:
            SubElement(notations, "tied", type=kind)
        for kind in slurs:
            SubElement(notations, "slur", type=kind, number="1")
        if place == 0:
            _tuplet_marks(notations, tuplet)
        _ornaments(notations, signs)
        _articulations(notations, signs)
        if Sign.FERMATA in signs:
            SubElement(notations, "fermata", type="upright")
        if marked or bowed or tone.harmonic:
            self._technical(SubElement(notations, "technical"), note, tone, bowed, marked)

    def _technical(self, technical: _Element, note: SheetNote, tone: Tone, bowed: bool, marked: bool) -> None:
        if bowed:
            signed = next((_SIGN_NAMES[sign] for sign in note.signs if sign in _BOWS), "")
            SubElement(technical, f"{note.bow}-bow" if note.bow else signed)
        if tone.harmonic:
            SubElement(SubElement(technical, "harmonic"), "natural")
        if marked and tone.show_finger:
            SubElement(technical, "fingering").text = str(tone.finger)
        as_element = self._strings is not StringMarks.WORDS or not self._has_numeral(note)
        if marked and as_element and tone.show_string and tone.string is not None:
            SubElement(technical, "string").text = str(tone.string)

    def _slurs(self, note: SheetNote) -> list[str]:
        going_on = note.bowed_on or (note.tied and self._in_slur)
        return ["stop"] * (self._in_slur and not going_on) + ["start"] * (going_on and not self._in_slur)


def _ornaments(notations: _Element, signs: Sequence[Sign]) -> None:
    found = [_SIGN_NAMES[sign] for sign in signs if sign in _ORNAMENTS]
    if found:
        ornaments = SubElement(notations, "ornaments")
        for name in found:
            tag, _, strokes = name.partition(" ")
            ornament = SubElement(ornaments, tag)
            if strokes:
                ornament.set("type", "single")
                ornament.text = strokes


def _articulations(notations: _Element, signs: Sequence[Sign]) -> None:
    found = [_SIGN_NAMES[sign] for sign in signs if sign in _ARTICULATIONS]
    if found:
        articulations = SubElement(notations, "articulations")
        for name in found:
            SubElement(articulations, name)


def _loudness(measure: _Element, note: SheetNote) -> None:
    """What stands under a note: letters, and a hairpin that begins."""
    for letters in note.dynamics:
        direction = SubElement(measure, "direction", placement="below")
        SubElement(SubElement(SubElement(direction, "direction-type"), "dynamics"), letters)
    if note.hairpin is not None:
        _wedge(measure, note.hairpin.value)


def _wedge(measure: _Element, kind: str) -> None:
    direction = SubElement(measure, "direction", placement="below")
    SubElement(SubElement(direction, "direction-type"), "wedge", type=kind, number="1")


def _words(measure: _Element, text: str) -> None:
    direction = SubElement(measure, "direction", placement="above")
    SubElement(SubElement(direction, "direction-type"), "words").text = text


def _kind(element: _Element, note: SheetNote, tone: Tone | None, is_chord: bool) -> None:
    """What is no plain note: an ornament, a small note that the player leaves out, a further note of a chord."""
    if note.is_small:
        SubElement(element, "grace", slash="yes")
    if tone is not None and tone.finger is None:
        SubElement(element, "cue")
    if is_chord:
        SubElement(element, "chord")


def _written_type(element: _Element, note: SheetNote) -> None:
    name, dots = ("eighth", 0) if note.is_small else note_type(note.beats)
    SubElement(element, "type").text = name
    for _ in range(dots):
        SubElement(element, "dot")


def _pitch(element: _Element, pitch: Pitch) -> None:
    child = SubElement(element, "pitch")
    SubElement(child, "step").text = pitch.step
    if pitch.alter:
        SubElement(child, "alter").text = quantity(pitch.alter)
    SubElement(child, "octave").text = str(pitch.octave)


def _signature(step: str, fifths: int) -> float:
    order = "FCGDAEB"
    if fifths >= 0:
        return 1.0 if step in order[:fifths] else 0.0
    return -1.0 if step in order[fifths:] else 0.0


def note_type(beats: Fraction) -> tuple[str, int]:
    """Return the name of a note value and its dots, tuplets undone."""
    many, time = tuplet_of(beats)
    value = beats * many / time
    if value in _TYPES:
        return _TYPES[value], 0
    return _TYPES[value * 2 / 3], 1


def _bracket(measure: _Element, kind: str) -> None:
    direction = SubElement(measure, "direction", placement="above")
    shape = {"type": kind, "number": "1", "line-end": "down", "line-type": "solid"}
    SubElement(SubElement(direction, "direction-type"), "bracket", shape)


def _tuplets(notes: Sequence[SheetNote]) -> list[tuple[int, int, str] | None]:
    """For every note its tuplet and whether it starts or ends one; a group ends as soon as its sum is plain."""
    found: list[tuple[int, int, str] | None] = []
    running = Fraction(0)
    for index, note in enumerate(notes):
        many, time = tuplet_of(note.beats) if note.beats else (1, 1)
        if many == 1:
            found.append(None)
            running = running if note.is_small else Fraction(0)
            continue
        first = not running
        running += note.beats
        following = next((n for n in notes[index + 1 :] if not n.is_small), None)
        last = tuplet_of(running) == (1, 1) or following is None or tuplet_of(following.beats) != (many, time)
        found.append((many, time, "start" * first + "stop" * last))
        running = Fraction(0) if last else running
    return found


def _tuplet_marks(notations: _Element, tuplet: tuple[int, int, str] | None) -> None:
    marks = tuplet[2] if tuplet else ""
    for kind in ("start", "stop"):
        if kind in marks and marks != "startstop":
            SubElement(notations, "tuplet", type=kind, number="1", bracket="yes")


def _beams(notes: Sequence[SheetNote], bar: Bar) -> list[list[str]]:
    """Beam marks for every note: notes with flags within one beat are joined."""
    beat = max(beat_length(bar.meter), Fraction(1)) if bar.meter != (3, 8) else Fraction(3, 2)
    groups: dict[int, list[int]] = {}
    levels: list[int] = []
    place = Fraction(0)
    broken = 0
    for index, note in enumerate(notes):
        flags = (
            0 if note.is_small or note.is_rest or _is_bar_rest(note, bar) else _FLAGS.get(note_type(note.beats)[0], 0)
        )
        levels.append(flags)
        if note.is_small:
            continue
        broken += flags == 0
        if flags:
            groups.setdefault(int(place // beat) * 1000 + broken, []).append(index)
        place += note.beats
    marks: list[list[str]] = [[] for _ in notes]
    for group in groups.values():
        if len(group) > 1:
            for spot, index in enumerate(group):
                before = levels[group[spot - 1]] if spot else 0
                after = levels[group[spot + 1]] if spot + 1 < len(group) else 0
                marks[index] = [_beam(level, before, after) for level in range(1, levels[index] + 1)]
    return marks


def _is_bar_rest(note: SheetNote, bar: Bar) -> bool:
    return note.is_rest and note.beats == bar_length(bar.meter)


def _beam(level: int, before: int, after: int) -> str:
    if before >= level and after >= level:
        return "continue"
    if after >= level:
        return "begin"
    if before >= level:
        return "end"
    return "forward hook" if after else "backward hook"


__all__ = ["BarWriter", "note_type", "quantity"]
