"""The fields of ABC that say how notes are read: key, metre, unit of length, tempo, clef and voice.

Source: the ABC standard 2.1, sections 3.1, 4.6 and 7.1.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from fractions import Fraction

_TONIC = re.compile(r"([A-G])([#b]?)\s*([A-Za-z]*)")
_FIFTHS = {"F": -1, "C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5}
_MODES = {
    "": 0,
    "maj": 0,
    "ion": 0,
    "lyd": 1,
    "mix": -1,
    "dor": -2,
    "m": -3,
    "min": -3,
    "aeo": -3,
    "phr": -4,
    "loc": -5,
}
_SHARPS = "FCGDAEB"
ALTERS = {"^^": 2, "^": 1, "=": 0, "_": -1, "__": -2}
_ACCIDENTAL = re.compile(r"(\^\^|\^|__|_|=)([A-Ga-g])")
_ASSIGNED = re.compile(r"([A-Za-z-]+)\s*=\s*(\"[^\"]*\"|\S+)")
_CLEFS = {
    "treble": ("G", "2"), "G2": ("G", "2"), "alto": ("C", "3"), "C3": ("C", "3"), "tenor": ("C", "4"), "C4": ("C", "4"),
    "bass": ("F", "4"), "F4": ("F", "4"), "soprano": ("C", "1"), "mezzo": ("C", "2"), "baritone": ("F", "3"),
    "perc": ("percussion", "3"),
}  # fmt: skip
_CLEF = re.compile(
    r"(?:^|\s|clef=\"?)(treble|alto|tenor|bass|soprano|mezzo|baritone|perc|[GCF][1-5])([+^_-]8)?(?=\s|\"|$)"
)


@dataclass(frozen=True, slots=True)
class Clef:
    """A clef: sign and line as MusicXML has them, and by how many octaves it sounds away from where it is written."""

    sign: str = "G"
    line: str = "2"
    octaves: int = 0


@dataclass(frozen=True, slots=True)
class KeySignature:
    """What a key alters: `fifths`, or single alterations by step where no number of fifths says it."""

    fifths: int = 0
    alters: dict[str, int] = field(default_factory=dict)
    plain: bool = True

    def alter(self, step: str) -> int:
        """Return by how many semitones the key alters a step."""
        return self.alters.get(step, 0)


@dataclass(frozen=True, slots=True)
class Metre:
    """A metre as it is written; `beats` are quarter notes in a bar, None if it is free."""

    top: str = "4"
    bottom: str = "4"
    beats: Fraction | None = Fraction(4)
    symbol: str = ""


def read_key(text: str) -> KeySignature | None:
    """Return the key that a field names; None if it names none (a clef alone, for example)."""
    text = re.sub(r"[A-Za-z-]{2,}=\S+", "", text).strip()
    if text.startswith(("HP", "Hp")):
        return _of_fifths(0) if text.startswith("HP") else _of_fifths(2)
    if text.lower().startswith("none"):
        return _of_fifths(0)
    found = _TONIC.match(text)
    named = _CLEF.match(text)
    if found is None or named is not None:
        return None
    mode = found[3].lower()
    explicit = mode == "exp"
    mode = mode if mode in ("", "m") else mode[:3]
    if mode not in _MODES and not explicit:
        mode = ""  # a word that is no mode: a clef, for example
    fifths = _FIFTHS[found[1]] + {"": 0, "#": 7, "b": -7}[found[2]] + _MODES.get(mode, 0)
    key = _of_fifths(0 if explicit else max(-7, min(7, fifths)))
    changes = {step.upper(): ALTERS[sign] for sign, step in _ACCIDENTAL.findall(text[found.end() - len(found[3]) :])}
    return replace(key, alters={**key.alters, **changes}, plain=False) if changes else key


def _of_fifths(fifths: int) -> KeySignature:
    steps = _SHARPS[:fifths] if fifths >= 0 else _SHARPS[fifths:]
    return KeySignature(fifths, dict.fromkeys(steps, 1 if fifths > 0 else -1))


def read_metre(text: str) -> Metre | None:
    """Return the metre of a field, or None if it cannot be read."""
    text = text.strip().replace(" ", "")
    if text in ("C", "c"):
        return Metre("4", "4", Fraction(4), "common")
    if text == "C|":
        return Metre("2", "2", Fraction(4), "cut")
    if text.lower() in ("none", "") or text.startswith("FREI"):  # so marked in the Essen collection
        return Metre("", "", None)
    found = re.fullmatch(r"\(?([\d+]+)\)?/(\d+)", text)
    if found is None or not int(found[2]):
        return None
    top = sum(int(each) for each in found[1].split("+") if each)
    return Metre(found[1].strip("+"), found[2], Fraction(4 * top, int(found[2]))) if top else None


def default_unit(metre: Metre) -> Fraction:
    """Return the unit of length, in quarter notes, where no field names one: below 3/4 a sixteenth, else an eighth."""
    return Fraction(1, 4) if metre.beats is not None and metre.beats < 3 else Fraction(1, 2)


def read_length(text: str) -> Fraction | None:
    """Return a length such as 1/8 in quarter notes."""
    found = re.fullmatch(r"(\d+)(?:/(\d+))?", text.strip())
    if found is None or not int(found[2] or 1) or not int(found[1]):
        return None
    return Fraction(4 * int(found[1]), int(found[2] or 1))


@dataclass(frozen=True, slots=True)
class Tempo:
    """A tempo: words, and how many notes of a length (in quarter notes) go to a minute, if it says so."""

    words: str = ""
    length: Fraction | None = None
    per_minute: int | None = None


def read_tempo(text: str, unit: Fraction) -> Tempo:
    """Return the tempo of a field, such as `"Allegro" 1/4=120` or, in the old form, `120`."""
    words = " ".join(re.findall(r"\"([^\"]*)\"", text)).strip()
    rest = re.sub(r"\"[^\"]*\"", " ", text)
    number = re.search(r"=\s*(\d+)", rest) or re.fullmatch(r"\s*(\d+)\s*", rest)
    lengths = [read_length(each) for each in re.findall(r"\d+/\d+", rest)]
    length = sum((each for each in lengths if each), Fraction(0)) or unit
    return Tempo(words, length, int(number[1])) if number and 0 < int(number[1]) < 1000 else Tempo(words)


def read_clef(text: str) -> Clef | None:
    """Return the clef that a field names, or None."""
    found = _CLEF.search(text)
    if found is None:
        return None
    sign, line = _CLEFS.get(found[1], (found[1][0], found[1][-1]))
    return Clef(sign, line, {"+8": 1, "^8": 1, "-8": -1, "_8": -1, None: 0}[found[2]])


def read_properties(text: str) -> dict[str, str]:
    """Return what a voice or a key is assigned: name, octave and the like, by lower-case name."""
    return {name.lower(): value.strip('"') for name, value in _ASSIGNED.findall(text)}
