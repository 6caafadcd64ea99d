"""An ABC tune read: its fields and its music, character by character, by the ABC standard 2.1 (sections 3, 4 and 7).

Lyrics, chord symbols and what only concerns the layout are skipped. Macros (`m:`) and anything that is not ABC are
refused with their line.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from fractions import Fraction

from ....errors import said
from . import fields
from .fields import Clef, KeySignature, Metre, Tempo
from .file import AbcFile, Line, Tune, no_abc
from .music import Bar, Head, Sound, Voice
from .voice import VoiceState

_LENGTH = r"(?:\d*/+\d*|\d*)"
_TOKEN = re.compile(
    rf"""
    (?P<comment>%.*)
  | (?P<quoted>"[^"]*"?)
  | (?P<decoration>![^!|\s]*!|\+[0-5]\+|\+(?![A-Ga-g,'/\d]*\+)[a-z0-9.]+\+)
  | (?P<inline>\[[A-Za-z]:[^\]]*\])
  | (?P<ending>\[(?:[1-9][0-9,.\-]*|"[^"]*"))
  | (?P<bar>(?:\.?\[\|\]?|\.?:*\|[\]|]*|::+|:(?=\[)):*(?:[1-9][0-9,.\-]*)?)
  | (?P<tuplet>\(\d+(?::\d*){{0,2}})
  | (?P<opens>\.?\()
  | (?P<closes>\))
  | (?P<grace>\{{/?)
  | (?P<ungrace>\}})
  | (?P<chord>\[)
  | (?P<unchord>\]{_LENGTH})
  | (?P<note>(?:\^\^|\^|__|_|=)?[A-Ga-g][',]*{_LENGTH})
  | (?P<rest>[zxZX]{_LENGTH})
  | (?P<tie>\.?-)
  | (?P<broken>>{{1,3}}|<{{1,3}})
  | (?P<overlay>&)
  | (?P<space>[ \t]+|[`\\$*;?@#!]|y{_LENGTH})
  | (?P<symbol>[.~H-Wh-w])
    """,
    re.VERBOSE,
)
_NOTE = re.compile(rf"(\^\^|\^|__|_|=)?([A-Ga-g])([',]*)({_LENGTH})")
_SYMBOLS = {
    ".": "staccato", "~": "roll", "H": "fermata", "L": "accent", "M": "lowermordent", "O": "coda", "P": "uppermordent",
    "S": "segno", "T": "trill", "u": "upbow", "v": "downbow",
}  # fmt: skip
_NORMAL = {2: 3, 3: 2, 4: 3, 6: 2, 8: 3}
_FINGER = re.compile(r"[0-5]")
_MOST_RESTS = 1000


def read_tune(file: AbcFile, tune: Tune) -> list[Voice]:
    """Return the voices of a tune in the order in which they are named first.

    Raises:
        ScoreError: `not-converted`, with the line.
    """
    return _Reader(file).read(tune)


class _Reader:
    """Goes through the lines of one tune."""

    def __init__(self, file: AbcFile) -> None:
        version = re.match(r"%abc-(\d+)\.(\d+)", file.text)
        modern = version is not None and (int(version[1]), int(version[2])) >= (2, 1)
        # 2.1 (11.3) carries an accidental to every octave; before it nothing was said, and print carries it in its own.
        self._carries = "pitch" if modern else "octave"
        self._voices: dict[str, VoiceState] = {}
        self._here: VoiceState | None = None
        self._symbols = dict(_SYMBOLS)
        self._key, self._metre, self._clef = KeySignature(), Metre(), Clef()
        self._unit: Fraction | None = None
        self._tempo: Tempo | None = None
        self._octaves = 0
        self._in_header = True
        self._line = 0

    def read(self, tune: Tune) -> list[Voice]:
        for line in tune.lines:
            self._line = line.number
            if line.text.startswith("%%"):
                self._directive(line.text[2:])
            elif line.field:
                self._field(line.field, line.value)
                self._in_header = self._in_header and line.field != "K"
            elif not self._in_header:
                self._music(line)
        for state in self._voices.values():
            self._close_bar(state, "")
        return [state.voice for state in self._voices.values() if state.voice.bars]

    # -- fields --------------------------------------------------------------------------------------------------------

    def _directive(self, text: str) -> None:
        found = re.match(r"propagate-accidentals\s+(not|octave|pitch)", text)
        if found:
            self._carries = found[1]

    def _field(self, letter: str, value: str) -> None:
        reader: dict[str, Callable[[str], None]] = {
            "I": self._directive, "K": self._read_key, "M": self._read_metre, "L": self._read_unit,
            "Q": self._read_tempo, "V": self._read_voice, "U": self._read_symbol,
        }  # fmt: skip
        if letter == "m":
            raise no_abc(said("macros (m:) are not read; write the notes out"), self._line)
        if letter in reader:
            reader[letter](value)

    def _states(self) -> list[VoiceState]:
        """The voices that a field in the music concerns."""
        return [] if self._in_header else [self._state()]

    def _read_key(self, value: str) -> None:
        key, clef = fields.read_key(value), fields.read_clef(value)
        octaves = _whole(fields.read_properties(value).get("octave", "0"))
        if self._in_header:
            self._key, self._clef, self._octaves = key or self._key, clef or self._clef, octaves
        for state in self._states():
            if key is not None:
                state.key = state.bar.key = key
            if clef is not None:
                state.clef = state.bar.clef = clef

    def _read_metre(self, value: str) -> None:
        metre = fields.read_metre(value)
        if metre is None:
            raise no_abc(said("the metre {value} cannot be read", value=repr(value[:20])), self._line)
        if self._in_header:
            self._metre = metre
        for state in self._states():
            state.metre = state.bar.metre = metre

    def _read_unit(self, value: str) -> None:
        unit = fields.read_length(value)
        if unit is None:
            raise no_abc(said("the length {value} cannot be read", value=repr(value[:20])), self._line)
        if self._in_header:
            self._unit = unit
        for state in self._states():
            state.unit = unit

    def _read_tempo(self, value: str) -> None:
        tempo = fields.read_tempo(value, self._unit or fields.default_unit(self._metre))
        if self._in_header:
            self._tempo = tempo
        for state in self._states():
            state.bar.tempo = tempo

    def _read_symbol(self, value: str) -> None:
        found = re.fullmatch(r"([~H-Wh-w])\s*=\s*[!+]?([^!+\s]+)[!+]?", value)
        if found:
            self._symbols[found[1]] = found[2]

    def _read_voice(self, value: str) -> None:
        id = (value.split() or ["1"])[0]
        state = self._voices.get(id) or self._add_voice(id)
        named = fields.read_properties(value)
        state.voice.name = named.get("name", named.get("nm", state.voice.name))
        state.voice.short = named.get("subname", named.get("snm", named.get("sname", state.voice.short)))
        state.octaves = _whole(named.get("octave", str(state.octaves)))
        clef = fields.read_clef(value[len(id) :])
        if clef is not None:
            state.clef = state.bar.clef = clef
        if not self._in_header:
            self._here = state

    def _add_voice(self, id: str) -> VoiceState:
        unit = self._unit or fields.default_unit(self._metre)
        state = VoiceState(Voice(id), self._key, self._metre, unit, self._clef, self._octaves)
        self._voices[id] = state
        return state

    def _state(self) -> VoiceState:
        """The voice that is being written; what comes before any is named belongs to the first."""
        if self._here is None:
            self._here = next(iter(self._voices.values()), None) or self._add_voice("1")
        state = self._here
        if not state.begun:
            state.begun = True
            unit = self._unit or fields.default_unit(self._metre)
            state.key, state.metre, state.unit = self._key, self._metre, unit
            clef = state.bar.clef or self._clef
            first = state is next(iter(self._voices.values()))
            state.bar.key, state.bar.metre, state.bar.clef, state.clef = self._key, self._metre, clef, clef
            state.bar.tempo = self._tempo if first else None
        return state

    # -- music ---------------------------------------------------------------------------------------------------------

    def _music(self, line: Line) -> None:
        for kind, text, at in self._tokens(line):
            state = self._state()
            if kind in ("space", "bar", "ending", "overlay") and state.last is not None:
                state.last.joined = False
            if kind == "inline":
                self._field(text[1], text[3:-1].strip())
            else:
                getattr(self, f"_on_{kind}")(state, text, at)
        if self._here is not None and self._here.last is not None:
            self._here.last.joined = False

    def _tokens(self, line: Line) -> Iterator[tuple[str, str, int]]:
        here = 0
        while here < len(line.text):
            found = _TOKEN.match(line.text, here)
            if found is None or found.end() == here:
                raise no_abc(
                    said(
                        "{text} in column {column} is no ABC", text=repr(line.text[here : here + 12]), column=here + 1
                    ),
                    line.number,
                )
            assert found.lastgroup is not None
            if found.lastgroup == "comment":
                return
            yield found.lastgroup, found[0], line.start + here
            here = found.end()

    def _on_space(self, state: VoiceState, text: str, at: int) -> None:
        pass

    def _on_quoted(self, state: VoiceState, text: str, at: int) -> None:
        """An annotation; one digit is a fingering, as collections write it; anything else is a chord symbol."""
        text = text.strip('"')
        if _FINGER.fullmatch(text.lstrip("^_<>@")):
            state.marks.append(text[-1])
        elif text[:1] in "^_<>@" and text[1:].strip():
            state.words.append(text[1:].strip())
        self._note_place(state, at)

    def _on_decoration(self, state: VoiceState, text: str, at: int) -> None:
        state.marks.append(text[1:-1])
        self._note_place(state, at)

    def _on_symbol(self, state: VoiceState, text: str, at: int) -> None:
        if text in self._symbols:
            state.marks.append(self._symbols[text])
        self._note_place(state, at)

    def _note_place(self, state: VoiceState, at: int) -> None:
        if state.at is None and state.chord is None:
            state.at = at

    def _on_opens(self, state: VoiceState, text: str, at: int) -> None:
        state.slurs += 1

    def _on_closes(self, state: VoiceState, text: str, at: int) -> None:
        if state.last is not None:
            state.last.slurs_end += 1

    def _on_tuplet(self, state: VoiceState, text: str, at: int) -> None:
        number, normal, count = ([*map(_whole, text[1:].split(":")), 0, 0])[:3]
        compound = state.metre.top.isdigit() and int(state.metre.top) % 3 == 0 and int(state.metre.top) > 3
        normal = normal or _NORMAL.get(number, 3 if compound else 2)
        if number:
            state.tuplet, state.tuplet_fresh = (number, normal, count or number), True

    def _on_grace(self, state: VoiceState, text: str, at: int) -> None:
        self._note_place(state, at)
        state.grace = True

    def _on_ungrace(self, state: VoiceState, text: str, at: int) -> None:
        state.grace = False

    def _on_chord(self, state: VoiceState, text: str, at: int) -> None:
        self._note_place(state, at)
        state.chord = self._begun(state, at, [])

    def _on_unchord(self, state: VoiceState, text: str, at: int) -> None:
        chord, state.chord = state.chord, None
        if chord is None:
            return
        if not chord.heads:
            raise no_abc(said("a chord has no notes"), self._line)
        self._end(state, chord, chord.beats * _times(text[1:]))

    def _on_note(self, state: VoiceState, text: str, at: int) -> None:
        found = _NOTE.match(text)
        assert found is not None
        accidental, letter, marks, length = found[1], found[2], found[3], found[4]
        octave = (
            (5 if letter.islower() else 4) + marks.count("'") - marks.count(",") + state.octaves + state.clef.octaves
        )
        head = Head(at, letter.upper(), octave, self._alter(state, letter.upper(), octave, accidental))
        beats = state.unit * _times(length)
        if state.chord is not None:
            head.fingers = [mark for mark in state.marks if _FINGER.fullmatch(mark)]
            state.chord.marks += [mark for mark in state.marks if not _FINGER.fullmatch(mark)]
            state.marks = []
            state.chord.heads.append(head)
            state.chord.beats = state.chord.beats or beats  # the first note says how long it is (4.17)
            return
        self._end(state, self._begun(state, at, [head]), beats)

    def _on_rest(self, state: VoiceState, text: str, at: int) -> None:
        if text[0] in "ZX":
            self._whole_bars(state, _times(text[1:]))
            return
        sound = self._begun(state, at, [])
        sound.hidden = text[0] == "x"
        self._end(state, sound, state.unit * _times(text[1:]))

    def _whole_bars(self, state: VoiceState, count: Fraction) -> None:
        if count.denominator != 1 or not 0 < count <= _MOST_RESTS or state.metre.beats is None:
            raise no_abc(said("a rest of whole bars that cannot be counted"), self._line)
        for number in range(int(count)):
            sound = self._begun(state, 0, [])
            self._end(state, sound, state.metre.beats)
            state.bar.rests_whole = True
            if number + 1 < count:
                self._close_bar(state, "|")

    def _begun(self, state: VoiceState, at: int, heads: list[Head]) -> Sound:
        """A sound with everything that was written before it; its length comes when it ends."""
        sound = Sound(at if state.at is None else state.at, heads)
        fingers = [mark for mark in state.marks if _FINGER.fullmatch(mark)]
        for head in heads[:1]:
            head.fingers = fingers
        sound.marks = [mark for mark in state.marks if mark not in fingers or not heads]
        sound.words, sound.slurs_begin, sound.grace = state.words, state.slurs, state.grace
        state.words, state.marks, state.slurs = [], [], 0
        return sound

    def _end(self, state: VoiceState, sound: Sound, beats: Fraction) -> None:
        """Give a sound its length and put it into its bar."""
        if beats <= 0 or beats > 4 * _MOST_RESTS or beats.denominator > 4096:
            raise no_abc(said("a note has a length that cannot be written"), self._line)
        sound.beats, sound.joined = beats, True
        if not sound.grace:
            state.at = None
            if state.broken is not None:
                sound.beats *= state.broken
                state.broken = None
            if state.tuplet is not None:
                number, normal, left = state.tuplet
                sound.ratio, sound.tuplet_begins = (number, normal), state.tuplet_fresh
                sound.beats = sound.beats * normal / number
                state.tuplet, state.tuplet_fresh = (number, normal, left - 1) if left > 1 else None, False
                sound.tuplet_ends = state.tuplet is None
        for head in sound.heads:
            head.tie_ends = not sound.grace and (head.step, head.octave) in state.tied
        if not sound.grace:
            state.tied = {(head.step, head.octave): head.alter for head in sound.heads if head.tied}
        state.bar.layers[state.layer].append(sound)
        state.last = sound

    def _alter(self, state: VoiceState, step: str, octave: int, accidental: str | None) -> int:
        place = (step, None if self._carries == "pitch" else octave)
        if accidental is not None:
            alter = fields.ALTERS[accidental]
            if self._carries != "not":
                state.shown[place] = alter
            return alter
        if (step, octave) in state.tied:
            return state.tied[step, octave]
        return state.shown.get(place, state.key.alter(step))

    def _on_tie(self, state: VoiceState, text: str, at: int) -> None:
        if state.chord is not None:  # within a chord: of the note before it
            for head in state.chord.heads[-1:]:
                head.tied = True
        elif state.last is not None:
            for head in state.last.heads:
                head.tied = True
                state.tied[head.step, head.octave] = head.alter

    def _on_broken(self, state: VoiceState, text: str, at: int) -> None:
        if state.last is None:
            return
        shorter = Fraction(1, 2 ** len(text))
        longer = 2 - shorter
        state.last.beats *= longer if text[0] == ">" else shorter
        state.broken = shorter if text[0] == ">" else longer

    def _on_overlay(self, state: VoiceState, text: str, at: int) -> None:
        state.layer += 1
        if state.layer == len(state.bar.layers):
            state.bar.layers.append([])

    def _on_ending(self, state: VoiceState, text: str, at: int) -> None:
        self._begin_ending(state, text.strip('["'))

    def _on_bar(self, state: VoiceState, text: str, at: int) -> None:
        found = re.match(r"([^0-9]*)(.*)", text)
        assert found is not None
        self._close_bar(state, found[1])
        if found[2]:
            self._begin_ending(state, found[2])

    def _begin_ending(self, state: VoiceState, text: str) -> None:
        if not state.bar.is_empty:
            self._close_bar(state, "|")
        if state.ending_open and state.voice.bars:
            state.voice.bars[-1].ending_stops = True
        digits = re.findall(r"\d+", text)
        state.bar.ending = ",".join(digits) or "1"
        state.ending_open = True

    def _close_bar(self, state: VoiceState, sign: str) -> None:
        """End a bar with a bar line; without notes since the last one, the two bar lines are one."""
        ends, begins = sign.startswith((":", ".:")), sign.endswith(":") and sign != ":"
        style = "heavy" if "]" in sign or "[" in sign else "double" if "||" in sign else ""
        bars = state.voice.bars
        if state.bar.is_empty:
            bar = bars[-1] if bars else None
        else:
            bar = state.bar
            bars.append(bar)
            state.bar = Bar()
        if bar is not None:
            bar.repeat_ends = bar.repeat_ends or ends
            bar.style = style or bar.style
            if state.ending_open and (ends or style):
                bar.ending_stops, state.ending_open = True, False
        state.bar.repeat_begins = state.bar.repeat_begins or begins
        state.layer, state.shown = 0, {}


def _times(text: str) -> Fraction:
    """By how much a length such as `3/2`, `/` or `//` multiplies the unit."""
    found = re.fullmatch(r"(\d*)(/*)(\d*)", text)
    if found is None:
        return Fraction(0)
    below = int(found[3]) if found[3] else 2 ** min(len(found[2]), 8)
    return Fraction(int(found[1] or 1), below) if below else Fraction(0)


def _whole(text: str) -> int:
    try:
        return max(-9, min(int(text or 0), 9))
    except ValueError:
        return 0
