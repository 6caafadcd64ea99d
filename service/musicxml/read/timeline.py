"""From notes in document order to events in playing order."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict, deque
from collections.abc import Sequence, Set
from itertools import accumulate, chain

from rules import Technique

from ...errors import said
from ..notation.notes import Tick, WrittenNote
from ..notation.part import WrittenPart

UNISON = said("two voices have the same note, which is planned once")
_TOUCH_INTERVALS = (3, 4, 5, 7)
"""Semitones between the stopped and the touched note of an artificial harmonic (common practice)."""

_STOPPED_BELOW = {"touching": (-3, -5), "sounding": (-14, -24)}
"""Letters and semitones from the touched or sounding note to the stopped one, touching a fourth (the usual way)."""


def join_ties(written: WrittenPart) -> list[WrittenNote]:
    """Join tied notes: each continuation gets its `head`, the head the whole length.

    Return the notes whose tie leads nowhere.

    A continuation is a note of the same pitch, alteration included, that begins exactly where a note with a tie begins
    to be held over, in any voice, whether or not it carries the end of a tie: many exporters write only the start.
    Where only the end is written, the note of the same pitch and voice that ends there is taken to be held over.
    """
    tied = [note for note in written.tied if not note.grace]
    if not tied:
        return []
    waiting = _Waiting(written, {note.end for note in tied if note.tie_start} | {n.onset for n in tied if n.tie_stop})
    lost: list[WrittenNote] = []
    for note in sorted(tied, key=lambda note: (note.onset, note.ordinal)):
        if note.tie_start:
            follower = waiting.continuation(note)
            if follower is None:
                lost.append(note)
            else:
                _hold_over(note, follower, written)
    if any(note.tie_stop and note.head is None for note in tied):
        _close_open_ends(written, waiting)
    return lost


_Start = tuple[int, float, Tick]
"""Letter and alteration of a pitch, and when notes of this pitch begin."""


class _Waiting:
    """Notes that may prolong another: those that begin where a tie ends and prolong none yet, in document order.

    Each note is taken once, so the time is in step with the notes, however many begin together.
    """

    def __init__(self, written: WrittenPart, moments: Set[Tick]) -> None:
        self._by_voice: dict[tuple[_Start, bool, str], deque[WrittenNote]] = defaultdict(deque)
        self._in_any_voice: dict[tuple[_Start, bool], deque[WrittenNote]] = defaultdict(deque)
        for note in written.notes:
            if not note.grace and note.onset in moments:
                start = (note.pitch.letter, note.pitch.alter, note.onset)
                self._by_voice[start, note.tie_stop, note.voice].append(note)
                self._in_any_voice[start, note.tie_stop].append(note)

    def continuation(self, note: WrittenNote) -> WrittenNote | None:
        """Return the note that best prolongs another: one that ends a tie first, then one of the same voice."""
        start = (note.pitch.letter, note.pitch.alter, note.end)
        if note.end <= note.onset:
            return None
        for ends_tie in (True, False):
            for queue in (
                self._by_voice.get((start, ends_tie, note.voice)),
                self._in_any_voice.get((start, ends_tie)),
            ):
                while queue and queue[0].head is not None:
                    queue.popleft()
                if queue:
                    return queue[0]
        return None

    def open_ends(self, note: WrittenNote) -> list[WrittenNote]:
        """Return the notes that end a tie in the voice of another just where that one ends."""
        queue = self._by_voice.pop(((note.pitch.letter, note.pitch.alter, note.end), True, note.voice), ())
        return [other for other in queue if other.head is None]


def _hold_over(note: WrittenNote, follower: WrittenNote, written: WrittenPart) -> None:
    follower.head = head = note.head or note
    head.end = max(head.end, follower.end)
    written.held_over.append(follower)


def _close_open_ends(written: WrittenPart, waiting: _Waiting) -> None:
    """Join notes that carry only the end of a tie to the note before them."""
    joined: set[WrittenNote] = {note.head for note in written.notes if note.head is not None}
    for note in sorted(written.notes, key=lambda note: note.onset):
        if not note.grace and note.end > note.onset and note not in joined:
            for other in waiting.open_ends(note):
                _hold_over(note, other, written)


def fold(written: WrittenPart) -> dict[str, list[int]]:
    """Give notes that the hand does not stop apart their `head`, and return why and in which measures (by index).

    Two voices that begin the same pitch together are one stop, unless the part prints different fingers for them (a
    unison on two strings). Of an artificial harmonic only the stopped note is kept: the touched and the sounding note
    written in its chord are no stops of their own; where it is not written, it is worked out.
    """
    done: dict[str, list[int]] = defaultdict(list)
    harmonic = any(note.marks.harmonic or note.marks.diamond for note in written.marked)
    if len(written.voices) < 2 and not harmonic:
        return done
    at_onset: dict[Tick, list[WrittenNote]] = defaultdict(list)
    for note in written.notes:
        if not note.grace and note.head is None:
            at_onset[note.onset].append(note)
    for group in at_onset.values():
        if len(group) > 1:
            _fold_unisons(group, done)
            if harmonic:
                _fold_harmonics(group, done)
    if harmonic:
        _stop_lone_harmonics(written.marked, done)
    return done


def _fold_unisons(group: Sequence[WrittenNote], done: dict[str, list[int]]) -> None:
    first: dict[float, WrittenNote] = {}
    for note in group:
        other = first.setdefault(note.pitch.midi, note)
        fingers, others = note.marks.fingers, other.marks.fingers
        if other is note or other.voice == note.voice or (fingers and others and fingers != others):
            continue
        note.head = other
        other.end = max(other.end, note.end)
        done[UNISON].append(note.measure)


def _fold_harmonics(group: Sequence[WrittenNote], done: dict[str, list[int]]) -> None:
    bases = [
        note for note in group if note.head is None and note.marks.harmonic in ("", "base") and not note.marks.diamond
    ]
    stopped = {id(base) for base in bases}
    by_pitch: dict[tuple[str, float], int] = {}
    by_voice: dict[str, int] = {}
    for index, base in enumerate(bases):
        by_pitch.setdefault((base.voice, base.pitch.midi), index)
        by_voice.setdefault(base.voice, index)
    for note in group:
        if note.head or id(note) in stopped or not (note.marks.harmonic or note.marks.diamond):
            continue
        found = [by_pitch.get((note.voice, note.pitch.midi - interval)) for interval in _TOUCH_INTERVALS]
        if note.marks.harmonic == "sounding":
            found.append(by_voice.get(note.voice))
        first = min((index for index in found if index is not None), default=None)
        if first is not None:
            note.head = base = bases[first]
            base.own_marks().add(Technique.ARTIFICIAL_HARMONIC)
            done[said("of an artificial harmonic only the stopped note was planned")].append(note.measure)


def _stop_lone_harmonics(marked: Sequence[WrittenNote], done: dict[str, list[int]]) -> None:
    """Give artificial harmonics of which only the touched or the sounding note is written the pitch that is stopped."""
    for note in marked:
        below = _STOPPED_BELOW.get(note.marks.harmonic)
        if note.head is None and below and Technique.ARTIFICIAL_HARMONIC in note.marks.techniques:
            note.pitch = note.pitch.transposed(*below)
            done[said("the stopped note of an artificial harmonic was taken a fourth below the touched one")].append(
                note.measure
            )


def group_events(written: WrittenPart) -> list[list[WrittenNote]]:
    """Return the notes in playing order, grouped by what starts together, and number their `event`.

    Each grace note (or grace chord) is a group of its own before the notes at its moment. Within a group the lowest
    note comes first.
    """
    ordered = written.notes
    if not written.in_time_order:
        ordered = sorted(ordered, key=lambda note: (note.onset, not note.grace))
    groups: list[list[WrittenNote]] = []
    onset: Tick = -1
    group: list[WrittenNote] = []
    main = False
    for note in ordered:
        if note.head is not None:
            continue
        grace = note.grace
        if note.onset == onset and (note.chord and not main if grace else main):
            group.append(note)
        else:
            group = [note]
            groups.append(group)
        onset, main = note.onset, not grace
        note.event = len(groups) - 1
    for group in groups:
        if len(group) > 1:
            group.sort(key=lambda note: note.pitch.midi)
    return groups


class _Slurs:
    """Pairs the starts and ends of slurs: an end is looked for in its own voice first, then in any.

    The place of either is the event and the measure, by their indices: a slur may begin on a note that is held over.
    """

    def __init__(self, count: int) -> None:
        self.steps = [0] * (count + 1)
        self._open: dict[str, dict[str, tuple[int, int]]] = defaultdict(dict)  # by number, then by voice
        self._overwritten: list[int] = []

    @property
    def lost(self) -> list[int]:
        """The measure (by index) in which each slur begins that has no end."""
        still_open = chain.from_iterable(begun.values() for begun in self._open.values())
        return sorted([*self._overwritten, *(measure for _, measure in still_open)])

    def start(self, place: tuple[int, int], voice: str, number: str) -> None:
        if voice in self._open[number]:
            self._overwritten.append(self._open[number][voice][1])
        self._open[number][voice] = place

    def stop(self, place: tuple[int, int], voice: str, number: str) -> None:
        begun = self._open[number]
        start = begun.pop(voice if voice in begun else next(iter(begun), voice), None)
        if start is not None:
            self.steps[start[0] + 1] += 1
            self.steps[place[0] + 1] -= 1


def slurred_events(written: WrittenPart, groups: Sequence[Sequence[WrittenNote]]) -> tuple[list[bool], list[int]]:
    """Return for each event whether it is in the same bow stroke as the one before, and where slurs have no end.

    Of a slur without an end the measure (by index) is told in which it begins.

    A slur may begin or end on the continuation of a tie. A note held over by a tie while others change binds them into
    one stroke too; a bow mark begins a new one.
    """
    onsets = [group[0].onset for group in groups]
    ends: list[tuple[int, bool, str, str, int]] = []
    for note in written.marked:
        for kind, number in note.marks.slurs:
            event = note.event if note.head is None else max(0, bisect_right(onsets, note.onset) - 1)
            ends.append((event, kind == "start", note.voice, number, note.measure))
    ends.sort(key=lambda end: end[:2])
    slurs = _Slurs(len(groups))
    for event, is_start, voice, number, measure in ends:
        (slurs.start if is_start else slurs.stop)((event, measure), voice, number)
    slurred = [depth > 0 for depth in accumulate(slurs.steps[:-1])]
    for note in written.held_over:
        event = bisect_right(onsets, note.onset) - 1
        if event > 0 and onsets[event] == note.onset and not groups[event][0].grace:
            slurred[event] = True
    for note in written.marked:
        if note.marks.new_stroke and note.event >= 0:
            slurred[note.event] = False
    return slurred, slurs.lost
