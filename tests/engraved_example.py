"""The examples of the rule reference as pictures: a case of a fixture becomes MusicXML, and verovio draws it.

Above the notes stands what the case prints, below them the stops that it fixes, as string and finger. A picture carries
the text that it was drawn from, so that a stale one is told without drawing it again.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Any
from xml.sax.saxutils import escape

import verovio

from rules import Event, Note, Passage, Technique
from service.naming import ordinal
from tests.marked_notation import read_marked_passage

_OPTIONS = {
    "pageWidth": 1500,
    "pageMarginTop": 20,
    "pageMarginBottom": 20,
    "pageMarginLeft": 20,
    "pageMarginRight": 20,
    "adjustPageHeight": True,
    "adjustPageWidth": True,
    "header": "none",
    "footer": "none",
    "scale": 40,
    "smuflTextFont": "none",
    "xmlIdSeed": 1,
    "svgBoundingBoxes": False,
}
_TYPES = {Fraction(4): "whole", Fraction(2): "half", Fraction(1): "quarter", Fraction(1, 2): "eighth",
          Fraction(1, 4): "16th", Fraction(1, 8): "32nd"}  # fmt: skip
_DOTTED = {Fraction(3, 2) * beats: kind for beats, kind in _TYPES.items()}
_ROMAN = {1: "I", 2: "II", 3: "III", 4: "IV"}
_ORNAMENTS = {Technique.TRILL: "trill-mark", Technique.TURN: "turn"}
_DIVISIONS = 32


def source_of(case: dict[str, Any]) -> str:
    """Return what a picture is drawn from, as one line of text."""
    return f"{case['passage']} / {case.get('stops', '')} / {case.get('meter', '')}"


def picture(case: dict[str, Any]) -> str:
    """Return the picture of a case as SVG."""
    toolkit = verovio.toolkit()
    toolkit.setOptions(_OPTIONS)
    if not toolkit.loadData(example_score(case)):
        raise ValueError(f"verovio cannot read this case: {source_of(case)}")
    drawn = re.sub(r"<desc>.*?</desc>", "", toolkit.renderToSVG(1))
    plain = re.sub(r">\s+<", "><", re.sub(r"(-?\d+\.\d)\d+", r"\1", drawn))
    stamp = f"<desc>{escape(source_of(case))}</desc>"
    return re.sub(r"(<svg[^>]*>)", lambda found: found[1] + stamp, plain, count=1).strip() + "\n"


def drawn_from(svg: str) -> str:
    """Return the text that a picture was drawn from."""
    found = re.search(r"<desc>(.*?)</desc>", svg, re.DOTALL)
    return found[1].replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&") if found else ""


def example_score(case: dict[str, Any]) -> str:
    """Return a case as MusicXML."""
    meter = tuple(case.get("meter", (4, 4)))
    passage = read_marked_passage(case["passage"], case.get("tempo", 96), meter=meter)
    stops = case.get("stops", "").replace("|", " ").split() or ["-"] * len(passage.events)
    bars = "".join(_bar(passage, stops, number, meter) for number in range(len(passage.measures)))
    return (
        '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name/></score-part></part-list>'
        f'<part id="P1">{bars}</part></score-partwise>'
    )


def _bar(passage: Passage, stops: list[str], number: int, meter: tuple[int, ...]) -> str:
    measure = passage.measures[number]
    head = (
        f"<attributes><divisions>{_DIVISIONS}</divisions><key><fifths>0</fifths></key><time><beats>{meter[0]}</beats>"
        f"<beat-type>{meter[1]}</beat-type></time><clef><sign>G</sign><line>2</line></clef></attributes>"
    )
    written, reached = [head if number == 0 else ""], measure.onset
    for index, event in enumerate(passage.events):
        if event.measure == number:
            written += _rests(event.onset - reached)
            written.append(_event(passage, index, event, _below(stops, index)))
            reached = event.onset + event.beats
    written += _rests(measure.onset + measure.beats - reached)
    jump = any(event.jump is not None for event in passage.events)
    if jump and number == len(passage.measures) - 1:
        written.append('<barline location="right"><repeat direction="backward"/></barline>')
    return f'<measure number="{number + 1}">{"".join(written)}</measure>'


def _rests(beats: Fraction) -> list[str]:
    found = []
    for length in sorted(_TYPES, reverse=True):
        while beats >= length:
            found.append(f"<note><rest/>{_length(length)}</note>")
            beats -= length
    return found


def _length(beats: Fraction) -> str:
    dot = "<dot/>" if beats in _DOTTED else ""
    kind = _TYPES.get(beats) or _DOTTED.get(beats)
    return f"<duration>{beats * _DIVISIONS}</duration>" + (f"<type>{kind}</type>{dot}" if kind else "")


def _below(stops: list[str], index: int) -> tuple[str, str]:
    """The stop as string and finger, and the position where it is another than before."""
    positions = [(re.findall(r"@(\d+)", stop) or [""])[0] for stop in stops[: index + 1]]
    known = [position for position in positions[:-1] if position]
    told = positions[-1] and known[-1:] != [positions[-1]]
    stop = re.sub(r"@\d+", "", stops[index]).replace("+", " ")
    return ("" if stop == "-" else stop), (ordinal(int(positions[-1])) if told else "")


def _event(passage: Passage, index: int, event: Event, below: tuple[str, str]) -> str:
    words = [] if event.position is None else [f"{ordinal(event.position)} pos."]
    words += ["restez"] if event.restez else []
    before = passage.events[index - 1].string if index else None
    if event.string is not None and event.string != before:
        words.append(f"sul {passage.instrument.string_name(event.string)}")
    above = "".join(
        f'<direction placement="above"><direction-type><words>{word}</words></direction-type></direction>'
        for word in words
    )
    notes = "".join(_note(passage, index, note, number, below) for number, note in enumerate(event.notes))
    return above + notes


def _note(passage: Passage, index: int, note: Note, number: int, below: tuple[str, str]) -> str:
    event, following = passage.events[index], passage.events[index + 1 : index + 2]
    alter = f"<alter>{int(note.pitch.alter)}</alter>" if note.pitch.alter else ""
    accidental = {1: "sharp", -1: "flat", 2: "double-sharp", -2: "flat-flat"}.get(int(note.pitch.alter))
    begins = bool(following) and following[0].slurred and not event.slurred
    ends = event.slurred and not (following and following[0].slurred)
    slurs = ("<slur type='start'/>" if begins else "") + ("<slur type='stop'/>" if ends else "")
    notations = (slurs if number == 0 else "") + _marks(passage, index, note)
    texts = [] if number else [(verse, text) for verse, text in enumerate(below, start=1) if text]
    lyric = "".join(f'<lyric number="{verse}"><text>{escape(text)}</text></lyric>' for verse, text in texts)
    return (
        f"<note>{'<chord/>' if number else ''}<pitch><step>{note.pitch.step}</step>{alter}"
        f"<octave>{note.pitch.octave}</octave></pitch>{_length(note.beats)}"
        f"{f'<accidental>{accidental}</accidental>' if accidental else ''}"
        f"{f'<notations>{notations}</notations>' if notations else ''}{lyric}</note>"
    )


def _marks(passage: Passage, index: int, note: Note) -> str:
    technical = "".join(f"<fingering>{finger}</fingering>" for finger in note.printed.fingers)
    technical += "".join(f"<fingering>{_ROMAN[string]}</fingering>" for string in note.printed.strings)
    technical += "<harmonic><natural/></harmonic>" if Technique.NATURAL_HARMONIC in note.techniques else ""
    technical += "<stopped/>" if Technique.LEFT_PIZZICATO in note.techniques else ""
    ornaments = "".join(f"<{tag}/>" for kind, tag in _ORNAMENTS.items() if kind in note.techniques)
    slide = ""
    if Technique.GLISSANDO in note.techniques:
        earlier = any(Technique.GLISSANDO in n.techniques for event in passage.events[:index] for n in event.notes)
        slide = f'<slide type="{"stop" if earlier else "start"}"/>'
    return (
        slide
        + (f"<ornaments>{ornaments}</ornaments>" if ornaments else "")
        + (f"<technical>{technical}</technical>" if technical else "")
    )
