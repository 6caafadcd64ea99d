"""Small printed parts as MusicXML, from a line of text: `"sul G" A3{1} [D4{1} B4{1}]:2 | R E5{0,s1}`.

A pitch, a colon and its length in quarter notes (left out: that of the note before), and in braces what is printed on
it, separated by commas: any text is a fingering, `s2` a string, `o` the sign of the open string, `h` a natural
harmonic, `a` an artificial one, `(3)` and `alt:3` an alternative, `+` left-hand pizzicato, `slide` and `end` a slide,
`<tag>` any other technical mark. Words in quotes stand above the next note; square brackets are a chord, `|` a bar
line.
"""

from __future__ import annotations

import re
from fractions import Fraction
from xml.sax.saxutils import escape

_TOKEN = re.compile(r'\s*(?:"(?P<words>[^"]*)"|(?P<bar>\|)|\[(?P<chord>[^\]]+)\](?P<chord_beats>:\S+)?|(?P<note>\S+))')
_NOTE = re.compile(r"(?P<pitch>R|[A-G][#b]*\d)(?P<early>:[\d/]+)?(?:\{(?P<marks>[^}]*)\})?(?P<late>:[\d/]+)?")
_DIVISIONS = 24
_CLEFS = {"violin": ("Violin", "G", 2), "viola": ("Viola", "C", 3)}


def printed_score(text: str, tempo: int = 96, instrument: str = "violin") -> bytes:
    """Return the score of one part that `text` writes down."""
    name, sign, line = _CLEFS[instrument]
    measures, beats = [[]], Fraction(1)
    for found in _TOKEN.finditer(text.strip()):
        if found["bar"]:
            measures.append([])
        elif found["words"] is not None:
            measures[-1].append(_words(found["words"]))
        else:
            inside = (found["chord"] or found["note"] or "").split()
            given = _beats(found["chord_beats"])
            for number, word in enumerate(inside):
                note = _NOTE.fullmatch(word)
                if note is None:
                    raise ValueError(f"no note of the short form: {word!r}")
                beats = given or _beats(note["early"] or note["late"]) or beats
                measures[-1].append(_note(note["pitch"], beats, note["marks"] or "", chord=number > 0))
    attributes = (
        f"<attributes><divisions>{_DIVISIONS}</divisions><time><beats>4</beats><beat-type>4</beat-type></time>"
        f"<clef><sign>{sign}</sign><line>{line}</line></clef></attributes>"
        f'<direction><sound tempo="{tempo}"/></direction>'
    )
    bars = "\n".join(
        f'<measure number="{number}">{attributes if number == 1 else ""}{"".join(bar)}</measure>'
        for number, bar in enumerate(measures, start=1)
    )
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n<score-partwise version="4.0"><part-list><score-part id="P1">'
        f'<part-name>{name}</part-name></score-part></part-list>\n<part id="P1">{bars}</part></score-partwise>\n'
    ).encode()


def _beats(text: str | None) -> Fraction | None:
    return Fraction(text[1:]) if text else None


def _words(text: str) -> str:
    return f'<direction placement="above"><direction-type><words>{escape(text)}</words></direction-type></direction>'


def _note(pitch: str, beats: Fraction, marks: str, *, chord: bool) -> str:
    duration = f"<duration>{beats * _DIVISIONS}</duration><voice>1</voice>"
    alter = pitch.count("#") - pitch.count("b")
    sound = (
        "<rest/>"
        if pitch == "R"
        else f"<pitch><step>{pitch[0]}</step><alter>{alter}</alter><octave>{pitch[-1]}</octave></pitch>"
    )
    printed = [mark.strip() for mark in marks.split(",")] if marks else []
    technical = "".join(map(_technical, printed))
    slide = "".join(
        f'<slide type="{kind}" number="1"/>' for mark, kind in (("slide", "start"), ("end", "stop")) if mark in printed
    )
    inside = f"{f'<technical>{technical}</technical>' if technical else ''}{slide}"
    notations = f"<notations>{inside}</notations>" if inside else ""
    return f"<note>{'<chord/>' if chord else ''}{sound}{duration}{notations}</note>"


def _technical(mark: str) -> str:
    if mark in ("slide", "end"):
        return ""
    if mark in _SIGNS:
        return _SIGNS[mark]
    if re.fullmatch(r"s.*", mark):
        return f"<string>{escape(mark[1:])}</string>"
    if mark.startswith("alt:"):
        return f'<fingering alternate="yes">{escape(mark[4:])}</fingering>'
    if mark.startswith("<"):
        return f"<{mark[1:-1]}/>"
    return f"<fingering>{escape(mark.replace('empty', ''))}</fingering>"


_SIGNS = {
    "o": "<open-string/>",
    "h": "<harmonic><natural/></harmonic>",
    "a": "<harmonic><artificial/></harmonic>",
    "+": "<stopped/>",
}
