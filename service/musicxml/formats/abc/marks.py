"""Marks written into ABC itself: fingerings as decorations (`!3!`), strings and positions as annotations (`"^III"`).

Everything else in the file stays as it is, byte for byte. The result is read again, and every note must sound as before
and carry the finger that was meant. ABC has no sign that tells our marks from others, so nothing can take them out;
only the file as a whole can be known as ours (see `seal`). The seal of an earlier copy is taken off.
Sources: the ABC standard 2.1, 4.14 (decorations `!0!` to `!5!`), 4.19 (annotations) and 4.20 (order).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from .... import errors
from ...file.elements import Mark, NoteMark, WordsMark
from .file import AbcFile, AbcSource, read_abc
from .music import Voice
from .reader import read_tune
from .seal import unsealed


def mark_abc(file: AbcFile, marked: Iterable[tuple[AbcSource, Sequence[Mark]]]) -> bytes:
    """Return the file with the marks of some of its tunes.

    A string that belongs to one note of a chord, lines and slides have no sign in ABC and are left out.

    Raises:
        ScoreError: `mark-misplaced`, if a mark would not stand where it is meant.
    """
    fingers: dict[int, str] = {}
    words: dict[int, list[str]] = defaultdict(list)
    for source, marks in marked:
        for mark in marks:
            place = source.places[mark.note] if isinstance(mark, NoteMark | WordsMark) else None
            if place is None:
                continue
            if isinstance(mark, WordsMark) and mark.text:
                words[place[1]].append(mark.text)
            elif isinstance(mark, NoteMark) and mark.finger is not None:
                fingers[place[0]] = str(mark.finger)
    data = unsealed(file.encoded(_spliced(file.text, fingers, words)))
    _verify(file, data, fingers)
    return data


def _spliced(text: str, fingers: dict[int, str], words: dict[int, list[str]]) -> str:
    pieces, here = [], 0
    for at in sorted({*fingers, *words}):
        pieces.append(text[here:at])
        pieces.extend(f'"^{word}"' for word in words.get(at, ()))
        if at in fingers:
            pieces.append(f"!{fingers[at]}!")
        here = at
    return "".join(pieces) + text[here:]


def _verify(file: AbcFile, data: bytes, fingers: dict[int, str]) -> None:
    """Compare the notes before and after: the same, and with these fingers more."""
    again = read_abc(data)
    if len(again.tunes) != len(file.tunes):
        raise errors.mark_misplaced()
    for tune, marked in zip(file.tunes, again.tunes, strict=True):
        try:
            before = read_tune(file, tune)
        except errors.ScoreError:
            continue  # a tune that could not be read before has no marks
        try:
            after = read_tune(again, marked)
        except errors.ScoreError as fault:
            raise errors.mark_misplaced() from fault
        if _notes(before, fingers) != _notes(after, {}):
            raise errors.mark_misplaced()


def _notes(voices: Sequence[Voice], more: dict[int, str]) -> list[object]:
    return [
        (
            voice.id,
            sound.beats,
            sound.grace,
            [(head.pitch, head.tied, [*head.fingers, *filter(None, [more.get(head.at)])]) for head in sound.heads],
        )
        for voice in voices
        for sound in voice.sounds
    ]
