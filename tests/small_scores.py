"""Small MusicXML documents, written in one line each: what the reader's tests need and nothing more."""

from __future__ import annotations

from lxml import etree

from service.musicxml.read.reader import Reading, read_part


def note(pitch: str, duration: int | str = 1, inside: str = "", *, voice: str = "1", chord: bool = False) -> str:
    """A `<note>`: `pitch` like "F#4", or "" for a rest; `inside` is further XML after the voice."""
    step, rest = pitch[:1], pitch[1:]
    accidental = rest.rstrip("0123456789")
    alter = accidental.count("#") - accidental.count("b")
    sound = (
        f"<pitch><step>{step}</step><alter>{alter}</alter><octave>{rest[len(accidental) :]}</octave></pitch>"
        if pitch
        else "<rest/>"
    )
    return f"<note>{'<chord/>' * chord}{sound}<duration>{duration}</duration><voice>{voice}</voice>{inside}</note>"


def grace(pitch: str, inside: str = "", *, chord: bool = False) -> str:
    """A grace note."""
    return note(pitch, 1, inside, chord=chord).replace("<duration>1</duration>", "").replace("<note>", "<note><grace/>")


def notations(inside: str) -> str:
    """A `<notations>` element."""
    return f"<notations>{inside}</notations>"


def technical(inside: str) -> str:
    """A `<technical>` element in its `<notations>`."""
    return notations(f"<technical>{inside}</technical>")


def words(text: str, inside: str = "") -> str:
    """A `<direction>` with words."""
    return f"<direction><direction-type><words>{text}</words></direction-type>{inside}</direction>"


def attributes(divisions: int = 1, time: str = "4/4", inside: str = "") -> str:
    """An `<attributes>` element."""
    beats, unit = time.split("/")
    return (
        f"<attributes><divisions>{divisions}</divisions><key><fifths>0</fifths></key>"
        f"<time><beats>{beats}</beats><beat-type>{unit}</beat-type></time>{inside}</attributes>"
    )


def back(duration: int) -> str:
    """A `<backup>`."""
    return f"<backup><duration>{duration}</duration></backup>"


def forth(duration: int) -> str:
    """A `<forward>`."""
    return f"<forward><duration>{duration}</duration></forward>"


def root_of(*measures: str, name: str = "Violin", part_list: str = "", parts: str = "") -> etree._Element:
    """The root of a document whose part P1 has the given measures; `parts` is further XML after it."""
    inside = "".join(
        measure if measure.startswith("<measure") else f'<measure number="{index}">{measure}</measure>'
        for index, measure in enumerate(measures, 1)
    )
    return etree.fromstring(
        f'<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>{name}</part-name></score-part>'
        f'{part_list}</part-list><part id="P1">{inside}</part>{parts}</score-partwise>'
    )


def reading(*measures: str, tempo: float | None = None, name: str = "Violin") -> Reading:
    """What the reader makes of a part with these measures."""
    return read_part(root_of(*measures, name=name), "P1", tempo=tempo)


def spelled(result: Reading) -> str:
    """The events in short: onset, pitches and lengths, as in "0:E4/1 1:G4,B4/2"."""
    return " ".join(
        f"{event.onset}:{','.join(each.pitch.name for each in event.notes)}/{event.beats}"
        for event in result.passage.events
    )
