"""What stands on the page of one part: notes in the order of playing, with the digits, strings and words beside them.

Read from the bytes of the MusicXML through lxml alone.
"""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass, field
from fractions import Fraction

from lxml import etree

_LETTERS = {letter: index for index, letter in enumerate("CDEFGAB")}
_NATURALS = (0, 2, 4, 5, 7, 9, 11)
_ROMAN = ("I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X", "XI", "XII")
_POSITION = re.compile(
    r"^(?:(?P<half>half|halbe|demi|mezza)|(?P<digits>\d+)(?:st|nd|rd|th|re|e|a|ª)?|(?P<roman>[IVX]+))\.?\s*"
    r"(?:pos\.|pos|position|posizione|lage)$",
    re.IGNORECASE,
)
_STRING = re.compile(r"^sul\s+(?P<name>[GDAEC])$|^(?P<roman>IV|III|II|I)$")
_TOUCHED_ABOVE = (3, 4, 5, 7)


@dataclass(eq=False)
class Sign:
    """One printed note. `letter` counts letter names from C0, `key` is the MIDI key of what is written to be stopped.

    `order` counts every note element of the document from 0.
    """

    order: int
    letter: int
    key: float
    start: Fraction
    end: Fraction
    bar: int
    voice: str
    grace: bool
    in_chord: bool
    digits: tuple[int, ...] = ()
    strings: tuple[int, ...] = ()
    harmonic: bool = False
    artificial: str = ""
    diamond: bool = False
    tied_on: bool = False
    tie_ends: bool = False


@dataclass(eq=False)
class Moment:
    """What starts together: the notes from the lowest, and the words that stand there."""

    signs: list[Sign]
    position: int | None = None
    string: str | int | None = None
    """A letter, as in "sul G", or a number, as in "IV"."""

    @property
    def bar(self) -> int:
        """The index of the bar."""
        return self.signs[0].bar

    @property
    def start(self) -> Fraction:
        """Quarter notes from the beginning."""
        return self.signs[0].start


@dataclass
class Page:
    """One part: its moments in order, the order in which repeats play the bars, and where other jumps lead.

    `entered` holds the bars with a segno or coda sign, and the first one if there is a da capo.
    """

    moments: list[Moment]
    played_bars: list[int] = field(default_factory=list)
    entered: frozenset[int] = frozenset()


@dataclass(frozen=True)
class _Words:
    at: Fraction
    before: int
    text: str


def read_page(data: bytes, part_id: str) -> Page:
    """Return what is printed in one part of a document."""
    root = etree.fromstring(data)
    order = 0
    for part in root.findall("part"):
        if part.get("id") == part_id:
            return _Reader(order).read(part)
        order += sum(1 for _ in part.iter("note"))
    raise ValueError(f"no part {part_id}")


class _Reader:
    def __init__(self, order: int) -> None:
        self._order = order
        self._divisions = Fraction(1)
        self._transpose = (0, 0)
        self._signs: list[Sign] = []
        self._words: list[_Words] = []

    def read(self, part: etree._Element) -> Page:
        start = Fraction(0)
        for index, measure in enumerate(part.findall("measure")):
            start += self._measure(measure, index, start)
        moments = _moments(_struck(self._signs))
        for words in sorted(self._words, key=lambda each: (each.at, each.before)):
            self._place(words, moments)
        return Page(moments, _played(part), _entered(part))

    def _measure(self, measure: etree._Element, index: int, start: Fraction) -> Fraction:
        here = head = furthest = start
        for element in measure:
            if element.tag == "attributes":
                self._attributes(element)
            elif element.tag == "direction":
                self._direction(element, start, here)
            elif element.tag in ("backup", "forward"):
                way = self._duration(element)
                here = max(start, here + (way if element.tag == "forward" else -way))
            elif element.tag == "note":
                length = Fraction(0) if element.find("grace") is not None else self._duration(element)
                chord = element.find("chord") is not None
                head = head if chord else here
                here = here if chord else here + length
                self._note(element, index, head, head + length, chord)
            furthest = max(furthest, here)
        return furthest - start

    def _direction(self, element: etree._Element, start: Fraction, here: Fraction) -> None:
        offset = Fraction(element.findtext("offset") or 0) / self._divisions
        for words in element.iter("words"):
            for text in " ".join((words.text or "").split()).split(", "):
                self._words.append(_Words(max(start, here + offset), self._order, text))

    def _duration(self, element: etree._Element) -> Fraction:
        return Fraction(element.findtext("duration") or 0) / self._divisions

    def _attributes(self, element: etree._Element) -> None:
        self._divisions = Fraction(element.findtext("divisions") or self._divisions)
        transpose = element.find("transpose")
        if transpose is not None:
            octaves = int(transpose.findtext("octave-change") or 0)
            chromatic = int(transpose.findtext("chromatic") or 0)
            self._transpose = int(transpose.findtext("diatonic") or 0) + 7 * octaves, chromatic + 12 * octaves

    def _note(self, note: etree._Element, bar: int, start: Fraction, end: Fraction, chord: bool) -> None:
        order = self._order
        self._order += 1
        pitch = note.find("pitch")
        if pitch is None or note.find("cue") is not None:
            return
        step, octave = _LETTERS[(pitch.findtext("step") or "").strip().upper()], int(pitch.findtext("octave") or 0)
        alter = float(pitch.findtext("alter") or 0)
        sign = Sign(
            order,
            step + 7 * octave + self._transpose[0],
            12 * (octave + 1) + _NATURALS[step] + alter + self._transpose[1],
            start,
            end,
            bar,
            note.findtext("voice") or "1",
            note.find("grace") is not None,
            chord,
        )
        _marks(note, sign)
        self._signs.append(sign)

    def _place(self, words: _Words, moments: list[Moment]) -> None:
        position, string = _named_position(words.text), _named_string(words.text)
        if position is None and string is None:
            return
        for moment in moments:
            grace_passed = moment.signs[0].grace and moment.signs[0].order < words.before
            if moment.start > words.at or (moment.start == words.at and not grace_passed):
                moment.position = position if position is not None else moment.position
                moment.string = string or moment.string
                return


def _named_position(text: str) -> int | None:
    found = _POSITION.match(text)
    if not found:
        return None
    if found["half"]:
        return 0
    roman = (found["roman"] or "").upper()
    return int(found["digits"]) if found["digits"] else _ROMAN.index(roman) + 1 if roman in _ROMAN else None


def _named_string(text: str) -> str | int | None:
    found = _STRING.match(text)
    if not found:
        return None
    return found["name"] or _ROMAN.index(found["roman"]) + 1


def _marks(note: etree._Element, sign: Sign) -> None:
    ties = [tie.get("type") for tie in (*note.findall("tie"), *note.findall("notations/tied"))]
    sign.tied_on = "start" in ties or "continue" in ties
    sign.tie_ends = "stop" in ties or "continue" in ties
    sign.diamond = (note.findtext("notehead") or "").strip() == "diamond"
    for mark in note.findall("notations/technical/*"):
        text = (mark.text or "").strip()
        if mark.tag == "fingering" and mark.get("substitution") != "yes":
            alternatives = re.split(r"[/, ]+", text.strip("()[]"))
            sign.digits += tuple(int(one[0]) for one in alternatives if one[:1] in ("0", "1", "2", "3", "4"))
        elif mark.tag == "open-string":
            sign.digits += (0,)
        elif mark.tag == "string" and text.isdigit():
            sign.strings += (int(text),)
        elif mark.tag == "harmonic":
            _harmonic(mark, sign)


def _harmonic(mark: etree._Element, sign: Sign) -> None:
    if mark.find("artificial") is None:
        sign.harmonic = True
        return
    kinds = [kind for kind in ("base", "touching", "sounding") if mark.find(f"{kind}-pitch") is not None]
    sign.artificial = kinds[0] if kinds else "base"


def _struck(signs: list[Sign]) -> list[Sign]:
    """What a finger takes anew: no ties, one stop for two voices in unison, the stopped note of a harmonic."""
    gone = _tied_over(signs)
    at: dict[Fraction, list[Sign]] = defaultdict(list)
    for sign in signs:
        if not sign.grace and sign.order not in gone:
            at[sign.start].append(sign)
    for together in at.values():
        gone |= _touched(together) | _doubled(together)
    return [sign for sign in signs if sign.order not in gone]


def _tied_over(signs: list[Sign]) -> set[int]:
    """Notes that only go on: those after the start of a tie, and those with the end of one after the same pitch."""
    starting: dict[tuple[int, float, Fraction], list[Sign]] = defaultdict(list)
    plain = [sign for sign in signs if not sign.grace]
    for sign in plain:
        starting[sign.letter, sign.key, sign.start].append(sign)
    gone: set[int] = set()
    for sign in plain:
        if sign.tied_on:
            onward = [o for o in starting[sign.letter, sign.key, sign.end] if o.order not in gone]
            onward = [o for o in onward if o.start > sign.start]
            if onward:
                gone.add(min(onward, key=lambda o: (not o.tie_ends, o.voice != sign.voice, o.order)).order)
    ended = {(sign.letter, sign.key, sign.end, sign.voice) for sign in plain}
    return gone | {s.order for s in plain if s.tie_ends and (s.letter, s.key, s.start, s.voice) in ended}


def _touched(together: list[Sign]) -> set[int]:
    """Touched and sounding notes of artificial harmonics, beside the stopped one; alone they stand for it."""
    gone = set()
    for sign in together:
        if sign.artificial not in ("touching", "sounding") and not sign.diamond:
            continue
        bases = [o for o in together if o.voice == sign.voice and o.artificial in ("", "base") and not o.diamond]
        if any(sign.key - o.key in _TOUCHED_ABOVE or sign.artificial == "sounding" for o in bases if o is not sign):
            gone.add(sign.order)
        elif sign.artificial in ("touching", "sounding"):
            letters, keys = (3, 5) if sign.artificial == "touching" else (14, 24)
            sign.letter, sign.key = sign.letter - letters, sign.key - keys
    return gone


def _doubled(together: list[Sign]) -> set[int]:
    """What a second voice plays in unison with another, unless other digits ask for another string."""
    first: dict[float, Sign] = {}
    gone = set()
    for sign in together:
        other = first.setdefault(sign.key, sign)
        unlike = sign.digits and other.digits and sign.digits != other.digits
        if other is not sign and other.voice != sign.voice and not unlike:
            gone.add(sign.order)
    return gone


def _moments(signs: list[Sign]) -> list[Moment]:
    found: list[Moment] = []
    for sign in sorted(signs, key=lambda sign: (sign.start, not sign.grace)):
        last = found[-1].signs[-1] if found else None
        together = last is not None and last.start == sign.start and last.grace == sign.grace
        if together and (not sign.grace or sign.in_chord):
            found[-1].signs.append(sign)
        else:
            found.append(Moment([sign]))
    for moment in found:
        moment.signs.sort(key=lambda sign: sign.key)
    return found


def _played(part: etree._Element) -> list[int]:
    """The bars in the order of playing: each repeat once more, with its next ending.

    Left out are other jumps, and repeats whose beginning is not printed after the endings of another.
    """
    signs = _repeat_signs(part)
    order: list[int] = []
    begin = done = 0
    for last in [bar for bar, found in enumerate(signs) if "backward" in found]:
        forward = [bar for bar in range(done, last + 1) if "forward" in signs[bar]]
        begin = max(forward, default=begin if "ending" in signs[done] else done)
        order.extend(range(done, last + 1))
        if forward or "ending" not in signs[done] or not any("end" in signs[bar] for bar in range(done, last)):
            endings = [bar for bar in range(begin, last + 1) if "ending" in signs[bar]]
            order.extend(range(begin, min(endings, default=last + 1)))
        done = last + 1
    return [*order, *range(done, len(signs) - 1)]


def _repeat_signs(part: etree._Element) -> list[set[str]]:
    """What stands at each bar, and beyond the last: a repeat forward at the end of a bar belongs to the next one."""
    bars = part.findall("measure")
    signs: list[set[str]] = [set() for _ in range(len(bars) + 1)]
    for index, bar in enumerate(bars):
        for line in bar.findall("barline"):
            for repeat in line.findall("repeat"):
                at_end = repeat.get("direction") == "forward" and line.get("location", "right") != "left"
                signs[index + at_end].add(repeat.get("direction") or "")
            for ending in line.findall("ending"):
                signs[index].add("ending" if ending.get("type") == "start" else "end")
    return signs


def _entered(part: etree._Element) -> frozenset[int]:
    signs = ".//segno | .//coda | .//sound[@segno or @coda]"
    found = {index for index, bar in enumerate(part.findall("measure")) if bar.xpath(signs)}
    words = " ".join(text or "" for text in part.xpath(".//words/text()"))
    capo = part.xpath(".//sound[@dacapo]") or re.search(r"\bd\. ?c\.|da capo", words, re.IGNORECASE)
    return frozenset(found | {0} if capo else found)
