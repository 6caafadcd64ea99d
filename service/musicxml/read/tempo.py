"""Tempo in quarter notes a minute, from numbers or tempo words anywhere in the score.

The tempo is often printed in the top part only, so every part is searched; a number outranks a word at the same place,
and a `<sound>` a metronome mark, since it is what is played. Gradual changes (rit., accel.) carry no figure and change
nothing.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple, cast

from lxml.etree import XPath, _Element

from ..notation.notes import Tick, WrittenMeasure
from ..notation.values import NOTE_VALUES, quantity, written_divisions

DEFAULT_TEMPO = 96.0
"""Quarter notes a minute where the part says nothing."""
SLOWEST, FASTEST = 10.0, 600.0
"""Quarter notes a minute outside of which a number is taken for a mistake."""

TEMPO_WORDS = {
    "grave|sehr langsam|tr[eè]s lent|very slow\\w*|larghissimo|adagissimo": 44.0,
    "largo|breit|large|broadly": 50.0,
    "lento|langsam|lent|slow|slowly": 56.0,
    "larghetto": 62.0,
    "adagio|ruhig|calme|calmly": 60.0,
    "adagietto": 70.0,
    "andante|gehend|allant|walking": 76.0,
    "andantino": 84.0,
    "maestoso|feierlich|majestueux|majestic\\w*": 84.0,
    "marcia|marsch\\w*|marche|march": 108.0,
    "moderato|m[aä]ßig\\w*|mässig\\w*|mod[eé]r[eé]|moderate\\w*|commodo|comodo": 100.0,
    "menuett\\w*|minuet\\w*|menuet": 112.0,
    "allegretto|etwas bewegt": 112.0,
    "allegro|schnell|anim[eé]|fast|bewegt|lebhaft|lively|munter": 132.0,
    "vivace|vif|vivement|vivo": 152.0,
    "allegrissimo|vivacissimo|sehr schnell|tr[eè]s vif|very fast": 168.0,
    "presto|rasch|eilig": 176.0,
    "prestissimo": 196.0,
}
"""Quarter notes a minute by tempo word (common practice; the middle of what metronomes print beside the words)."""
RELATIVE_WORDS = {
    "pi[uù] mosso|etwas schneller|plus vite|faster": 1.15,
    "meno mosso|etwas langsamer|moins vite|slower": 0.85,
}
"""By how much "faster" and "slower" change the tempo (common practice, a modest step)."""

_WORDS = [
    (re.compile(rf"(?<!\w)(?:{words})(?!\w)", re.IGNORECASE), value)
    for words, value in sorted(TEMPO_WORDS.items(), key=lambda item: -len(item[0].split("|")[0]))
]
_RELATIVE = [
    (re.compile(rf"(?<!\w)(?:{words})(?!\w)", re.IGNORECASE), value) for words, value in RELATIVE_WORDS.items()
]
_FIRST_TEMPO = re.compile(
    r"(?<!\w)(?:tempo (?:i|1|primo)\b|(?:1er|premier) tempo|erstes (?:zeitmaß|tempo))", re.IGNORECASE
)
_NUMBER = re.compile(r"\d{1,4}(?:[.,]\d{1,3})?")

_NUMBERS = XPath("measure/sound[@tempo] | measure/direction/sound[@tempo] | measure/direction/direction-type/metronome")
_NUMBERS_AND_WORDS = XPath(f"{_NUMBERS.path} | measure/direction/direction-type/words")


class _Mark(NamedTuple):
    measure: int
    offset: Fraction
    rank: int
    kind: str
    value: float


def word_tempo(text: str) -> float | None:
    """Return the tempo that the first tempo word in `text` stands for, or None."""
    found = [(match.start(), -match.end(), value) for pattern, value in _WORDS if (match := pattern.search(text))]
    return min(found)[2] if found else None


def _per_minute(text: str | None) -> float | None:
    """Return the number in "120", "ca. 120" or the middle of "112-120"."""
    numbers = [float(number.replace(",", ".")) for number in _NUMBER.findall(text or "")]
    return sum(numbers[:2]) / len(numbers[:2]) if numbers else None


def _metronome(element: _Element) -> tuple[str, float] | None:
    """Return ("metronome", quarters a minute), or ("ratio", new to old tempo) for "quarter = dotted quarter"."""
    units: list[Fraction] = []
    for child in element:
        if child.tag == "beat-unit":
            units.append(NOTE_VALUES.get((child.text or "").strip(), Fraction(0)))
        elif child.tag == "beat-unit-dot" and units:
            units[-1] *= Fraction(3, 2)
    if not units or not all(units):
        return None
    if len(units) == 2:
        return "ratio", float(units[1] / units[0])
    number = _per_minute(element.findtext("per-minute"))
    return ("metronome", number * float(units[0])) if number else None


def _sound_tempo(element: _Element) -> tuple[str, float] | None:
    number = _per_minute(element.get("tempo"))
    return ("sound", number) if number else None


@lru_cache(maxsize=1024)
def _tempo_words(text: str) -> tuple[str, float] | None:
    if _FIRST_TEMPO.search(text):
        return "first", 1.0
    for pattern, factor in _RELATIVE:
        if pattern.search(text):
            return "relative", factor
    tempo = word_tempo(text)
    return None if tempo is None else ("word", tempo)


def _fact(element: _Element) -> tuple[str, float] | None:
    if element.tag == "sound":
        return _sound_tempo(element)
    return _metronome(element) if element.tag == "metronome" else _tempo_words(element.text or "")


_RANKS = {"word": 0, "first": 0, "relative": 0, "ratio": 1, "metronome": 2, "sound": 3}


def _facts(element: _Element) -> Iterator[tuple[str, float]]:
    for found in element.iter("sound", "metronome", "words"):
        fact = _fact(found)
        if fact:
            yield fact


def _duration(element: _Element) -> Fraction:
    try:
        return quantity(element.findtext("duration"))
    except ValueError:
        return Fraction(0)


def _marks_of_measure(measure: _Element, index: int, divisions: Fraction) -> Iterator[_Mark]:
    offset = Fraction(0)
    children = list(measure)
    while children and children[-1].tag not in ("direction", "sound"):
        children.pop()  # nothing after the last of them matters
    for child in children:
        tag = child.tag
        if tag in ("direction", "sound"):
            yield from (_Mark(index, offset, _RANKS[kind], kind, value) for kind, value in _facts(child))
        elif tag == "attributes":
            divisions = _divisions(child, divisions)
        elif tag == "backup":
            offset = max(Fraction(0), offset - _duration(child) / divisions)
        elif tag == "forward" or (tag == "note" and child.find("chord") is None and child.find("grace") is None):
            offset += _duration(child) / divisions


def _divisions(attributes: _Element, before: Fraction) -> Fraction:
    try:
        return quantity(attributes.findtext("divisions")) or before
    except ValueError:
        return before


def _marks_of_part(part: _Element, wanted: set[_Element | None]) -> Iterator[_Mark]:
    divisions = Fraction(1)
    changing = {_measure_of(element) for element in written_divisions(part)}
    for index, measure in enumerate(part.iterchildren("measure")):
        if measure in wanted:
            yield from _marks_of_measure(measure, index, divisions)
        if measure in changing:
            for attributes in measure.iterchildren("attributes"):
                divisions = _divisions(attributes, divisions)


def _measure_of(element: _Element) -> _Element | None:
    return next(element.iterancestors("measure"), None)


def _marks(root: _Element, own: _Element) -> list[_Mark]:
    """Return all tempo marks of the score; words count in the own part and the topmost only, where they belong."""
    parts = list(root.iterchildren("part"))
    found: list[_Mark] = []
    for part in parts:
        look = _NUMBERS_AND_WORDS if part is own or part is parts[0] else _NUMBERS
        elements = cast("list[_Element]", look(part))
        wanted = {_measure_of(element) for element in elements if _fact(element)}
        if wanted:
            found.extend(_marks_of_part(part, wanted))
    return found


class TempoMap:
    """Seconds from ticks: tempos, each from a tick on; `printed` are those of metronome marks.

    `given` is false where neither the score nor the player gives any.
    """

    def __init__(
        self,
        tempos: Sequence[tuple[Tick, float]],
        per_quarter: int,
        printed: frozenset[float] = frozenset(),
        given: bool = True,
    ) -> None:
        self._starts: list[Tick] = []
        self._seconds: list[float] = []
        self._rates: list[float] = []
        seconds = 0.0
        for tick, tempo in tempos:
            if self._starts:
                seconds += float(tick - self._starts[-1]) * self._rates[-1]
            self._starts.append(tick)
            self._seconds.append(seconds)
            self._rates.append(60.0 / tempo / per_quarter)
        self.first_tempo = tempos[0][1]
        self.printed, self.given = printed, given

    def seconds(self, tick: Tick) -> float:
        """Return the seconds from the start of the part to `tick`.

        Take differences with `lasting`, so that a note that lasts exactly as long as a limit is not a hair shorter.
        """
        index = 0 if len(self._starts) == 1 else bisect_right(self._starts, tick) - 1
        return self._seconds[index] + float(tick - self._starts[index]) * self._rates[index]

    def all_seconds(self, ticks: Sequence[Tick]) -> list[float]:
        """Return the seconds of many moments; quick where the tempo never changes."""
        if len(self._starts) == 1:
            rate = self._rates[0]
            return [tick * rate for tick in ticks]
        return [self.seconds(tick) for tick in ticks]


def lasting(start: float, end: float) -> float:
    """Return the seconds from one moment to another, to a microsecond.

    Moments far into a part are sums with rounding errors; alike notes last alike, wherever they stand.
    """
    return round(end - start, 6)


def read_tempo(
    root: _Element, own: _Element, measures: Sequence[WrittenMeasure], per_quarter: int, tempo: float | None = None
) -> TempoMap:
    """Return the tempo of the part `own` through its measures.

    `tempo` (quarter notes a minute) replaces tempo words and the default, never a number that is printed.
    """
    best: dict[Tick, _Mark] = {}
    printed: set[float] = set()
    for mark in _marks(root, own):
        if mark.kind == "metronome":
            printed.add(mark.value)
        if mark.measure >= len(measures) or (mark.rank == 0 and tempo is not None):
            continue
        ticks = mark.offset * per_quarter
        tick = measures[mark.measure].onset + (ticks.numerator if ticks.denominator == 1 else ticks)
        if tick not in best or mark.rank > best[tick].rank:
            best[tick] = mark
    current = first = tempo or DEFAULT_TEMPO
    tempos: list[tuple[Tick, float]] = []
    for tick, mark in sorted(best.items(), key=lambda item: item[0]):
        value = {"first": first, "relative": current * mark.value, "ratio": current * mark.value}.get(
            mark.kind, mark.value
        )
        if SLOWEST <= value <= FASTEST:
            current = value
            first = first if tempos else value
            tempos.append((tick, value))
    given = tempo is not None or bool(tempos)
    if not tempos or tempos[0][0] > 0:
        tempos.insert(0, (0, tempo or DEFAULT_TEMPO))
    return TempoMap(tempos, per_quarter, frozenset(printed), given)
