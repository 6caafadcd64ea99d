"""From notes in document order to events in playing order.

What belongs here: ties, rows, notes that are one for the hand, what starts together, what is held, what is slurred.
What does not: XML (see `read_written`) and what words ask (see `reader`).
"""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Sequence

from rules import Pitch, Technique

from .read_written import Tick, Written

_TOUCH_INTERVALS = (3, 4, 5, 7)
"""Semitones between the stopped and the touched note of an artificial harmonic (common practice)."""


def join_ties(notes: Sequence[Written]) -> int:
    """Join tied notes: each continuation gets its `head`, the head the whole length. Return how many ties lead nowhere.

    A continuation is a note of the same pitch, alteration included, that begins exactly where a note with a tie begins
    to be held over, in any voice, whether or not it carries the end of a tie: many exporters write only the start.
    """
    by_onset: dict[tuple[Pitch, Tick], list[Written]] = defaultdict(list)
    tied = [note for note in notes if note.tie_start and not note.grace]
    if not tied:
        return 0
    ends = {(note.pitch, note.end) for note in tied}
    for note in notes:
        if not note.grace and (note.pitch, note.onset) in ends:
            by_onset[note.pitch, note.onset].append(note)
    lost = 0
    for note in sorted(tied, key=lambda note: (note.onset, note.ordinal)):
        open_notes = [
            other for other in by_onset.get((note.pitch, note.end), ()) if other.head is None and other is not note
        ]
        if not open_notes:
            lost += 1
            continue
        follower = min(open_notes, key=lambda other: (not other.tie_stop, other.voice != note.voice, other.ordinal))
        head = note.head or note
        follower.head = head
        head.end = max(head.end, follower.end)
    return lost


def fold(notes: Sequence[Written]) -> dict[str, int]:
    """Give notes that the hand does not stop apart their `head`, and return how often and why.

    Two voices that begin the same pitch together are one stop, unless the part prints different fingers for them (a
    unison on two strings). Of an artificial harmonic only the stopped note is kept: the touched and the sounding note
    written in its chord are no stops of their own.
    """
    done: dict[str, int] = defaultdict(int)
    at_onset: dict[Tick, list[Written]] = defaultdict(list)
    voices = {note.voice for note in notes}
    harmonic = any(note.marks.harmonic or note.marks.diamond for note in notes)
    if len(voices) == 1 and not harmonic:
        return done
    for note in notes:
        if not note.grace and note.head is None:
            at_onset[note.onset].append(note)
    for group in at_onset.values():
        if len(group) > 1:
            _fold_unisons(group, done)
            if harmonic:
                _fold_harmonics(group, done)
    return done


def _fold_unisons(group: Sequence[Written], done: dict[str, int]) -> None:
    first: dict[Pitch, Written] = {}
    for note in group:
        other = first.setdefault(note.pitch, note)
        fingers, others = note.marks.fingers, other.marks.fingers
        if other is note or other.voice == note.voice or (fingers and others and fingers != others):
            continue
        note.head = other
        other.end = max(other.end, note.end)
        done["two voices on the same note were taken as one stop"] += 1


def _fold_harmonics(group: Sequence[Written], done: dict[str, int]) -> None:
    bases = [
        note for note in group if note.head is None and note.marks.harmonic in ("", "base") and not note.marks.diamond
    ]
    for note in group:
        if note.head or note in bases or not (note.marks.harmonic or note.marks.diamond):
            continue
        for base in bases:
            interval = note.pitch.midi - base.pitch.midi
            if base.voice == note.voice and (interval in _TOUCH_INTERVALS or note.marks.harmonic == "sounding"):
                note.head = base
                base.own_marks().techniques.add(Technique.ARTIFICIAL_HARMONIC)
                done["of an artificial harmonic only the stopped note was planned"] += 1
                break


def group_events(notes: Sequence[Written]) -> list[list[Written]]:
    """Return the notes in playing order, grouped by what starts together, and number their `event`.

    Each grace note (or grace chord) is a group of its own before the notes at its moment. Within a group the lowest
    note comes first.
    """
    groups: list[list[Written]] = []
    onset: Tick = -1
    main = False
    for note in sorted((note for note in notes if note.head is None), key=lambda note: (note.onset, not note.grace)):
        joins = note.chord and bool(groups) and groups[-1][-1].grace if note.grace else main and note.onset == onset
        if joins:
            groups[-1].append(note)
        else:
            groups.append([note])
        onset, main = note.onset, not note.grace
        note.event = len(groups) - 1
    for group in groups:
        if len(group) > 1:
            group.sort(key=lambda note: note.pitch.midi)
    return groups


def slurred_events(notes: Iterable[Written], groups: Sequence[Sequence[Written]]) -> tuple[list[bool], int]:
    """Return for each event whether it is in the same bow stroke as the one before, and how many slurs have no end.

    A slur may begin or end on the continuation of a tie; its end is looked for in its own voice first, then in others.
    A note held over by a tie while others change binds them into one stroke too; a bow mark begins a new one.
    """
    count = len(groups)
    first_at: dict[Tick, int] = {}
    for index, group in enumerate(groups):
        first_at.setdefault(group[0].onset, index)
    onsets = [group[0].onset for group in groups]
    ends: list[tuple[int, int, str, str]] = []
    slurred = [False] * count
    for note in notes:
        marks = note.marks
        if note.head is not None and note.tie_stop and note.onset in first_at and note.onset > note.head.onset:
            slurred[first_at[note.onset]] = True
        for kind, number in marks.slurs:
            event = note.event if note.head is None else first_at.get(note.onset, bisect_right(onsets, note.onset) - 1)
            ends.append((event, kind == "start", note.voice, number))
    ends.sort(key=lambda end: end[:2])
    steps = [0] * (count + 1)
    open_slurs: dict[tuple[str, str], int] = {}
    lost = 0
    for event, is_start, voice, number in ends:
        if is_start:
            lost += (voice, number) in open_slurs
            open_slurs[voice, number] = event
            continue
        key = (
            (voice, number) if (voice, number) in open_slurs else next((k for k in open_slurs if k[1] == number), None)
        )
        if key is not None:
            steps[open_slurs.pop(key) + 1] += 1
            steps[event + 1] -= 1
    depth = 0
    for index in range(count):
        depth += steps[index]
        slurred[index] = (slurred[index] or depth > 0) and not any(note.marks.new_stroke for note in groups[index])
    return slurred, lost + len(open_slurs)
