"""Finger patterns: where the half steps lie between the four fingers on one string.

Patterns are named by their half steps, as several teachers do (for example violinbowtechnique.com, baylakeyes.com):
1-2, 2-3, 3-4, or none where all are whole steps; two half steps are both named, an augmented second as a wide step. A
finger is low or high by its semitones above the open string, not by its letter: below or above the even spacing of the
hand (`HOME`).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import chain, pairwise

from ..hand.grip import FINGERS, HOME, Stop, is_stretched, outward
from ..music.instrument import Pitch
from ..music.key import above_open
from .plan import Plan, Span, spans_by_position


@dataclass(frozen=True, slots=True)
class PlacedNote:
    """A note that a finger plays, and the measures (by index) in which it plays it."""

    pitch: Pitch
    measures: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class FingerPattern:
    """How the fingers lie on one string in one position.

    Attributes:
        position: where the hand is.
        string: on which string.
        places: the pitch under each finger, as it is played most often; as the key has it if the finger is not used.
        semitones: the same in semitones above the open string.
        used: fingers that play on this string.
        played: by finger that plays at its place, the measures (by index) in which it does.
        elsewhere: by finger, what it plays besides: fingers that are needed both low and high, and other spellings of
            the pitch at their place.
        reaches: by finger, the notes that it reaches for beyond its own letter.
        meeting: by pair of neighbouring fingers, the notes that they play one after the other, others between them or
            not; only of pairs that also meet elsewhere than at their places.
        rings_open: the open string sounds as well.
    """

    position: int
    string: int
    places: Mapping[int, Pitch]
    semitones: Mapping[int, float]
    used: frozenset[int]
    played: Mapping[int, tuple[int, ...]] = field(default_factory=dict)
    elsewhere: Mapping[int, Sequence[PlacedNote]] = field(default_factory=dict)
    reaches: Mapping[int, Sequence[PlacedNote]] = field(default_factory=dict)
    meeting: Mapping[tuple[int, int], tuple[tuple[Pitch, Pitch], ...]] = field(default_factory=dict)
    rings_open: bool = False

    @property
    def changing(self) -> frozenset[int]:
        """Fingers that are needed both low and high."""
        return frozenset(
            finger
            for finger, notes in self.elsewhere.items()
            if any(note.pitch.midi != self.places[finger].midi for note in notes)
        )

    @property
    def steps(self) -> tuple[float, float, float]:
        """Semitones from finger 1 to 2, 2 to 3 and 3 to 4."""
        one, two, three, four = (self.semitones[finger] for finger in FINGERS)
        return two - one, three - two, four - three

    @property
    def half_steps(self) -> tuple[tuple[int, int], ...]:
        """Pairs of neighbouring fingers that touch."""
        return tuple((f, f + 1) for f, step in zip(FINGERS, self.steps, strict=False) if 0 < step <= 1)

    @property
    def in_one_place(self) -> tuple[tuple[int, int], ...]:
        """Pairs of neighbouring fingers that stand in one place, one after the other: D sharp and E flat."""
        return tuple((f, f + 1) for f, step in zip(FINGERS, self.steps, strict=False) if step == 0)

    @property
    def wide_steps(self) -> tuple[tuple[int, int], ...]:
        """Pairs of neighbouring fingers more than a whole step apart."""
        return tuple((f, f + 1) for f, step in zip(FINGERS, self.steps, strict=False) if step > 2)

    @property
    def span(self) -> float:
        """Semitones from finger 1 to finger 4; a perfect fourth (5) is the relaxed hand."""
        return self.semitones[4] - self.semitones[1]

    @property
    def name(self) -> str:
        """The pattern by its half steps: "1-2", "2-3", "3-4", "none", "1-2 and 3-4", "1-2, wide 2-3"."""
        halves = " and ".join(f"{low}-{high}" for low, high in self.half_steps) or "none"
        wide = "".join(f", wide {low}-{high}" for low, high in self.wide_steps)
        return halves + wide

    def is_high(self, finger: int) -> bool:
        """True if the finger is high: above the even spacing of the hand; else it is low."""
        return self.semitones[finger] > HOME * (self.position + finger - 1)


def finger_patterns(plan: Plan, *spans: Span) -> tuple[FingerPattern, ...]:
    """Return the pattern of every string on which fingers fall, by position in order of playing, highest string first.

    Spans in one position share their patterns: the hand comes back to the same shape. Where a finger reaches for the
    letter beyond its own is told apart from its place.
    """
    visits = spans_by_position(spans).items()
    return tuple(pattern for position, stays in visits for pattern in _at_position(plan, position, stays))


_Measures = dict[Pitch, list[int]]
"""The notes of one finger, each with the measure of every time that it is played."""


def _at_position(plan: Plan, position: int, spans: Sequence[Span]) -> Iterator[FingerPattern]:
    on_string: dict[int, _OnString] = defaultdict(_OnString)
    fifths = plan.passage.measures[plan.event(spans[0].first).measure].fifths
    for index in chain.from_iterable(_before_the_way_out(plan, span) for span in spans):
        event = plan.event(index)
        for note in event.notes:
            stop = plan.by_note[note.id].stop
            if stop is not None:
                on_string[stop.string].add(stop, position, note.pitch, event.measure)
    for string in sorted(on_string):
        if on_string[string].placed or on_string[string].reached:
            yield _pattern(plan, position, string, on_string[string], fifths)


def _before_the_way_out(plan: Plan, span: Span) -> range:
    """The events of a span up to the last one with a finger down: over the open strings after it the hand leaves."""
    last = span.last
    while last > span.first and ((grip := plan.grip(last)) is None or grip.is_open):
        last -= 1
    return range(span.first, last + 1)


@dataclass
class _OnString:
    """What is played on one string: at the places of the fingers, beyond them, and in which order."""

    placed: dict[int, _Measures] = field(default_factory=lambda: defaultdict(lambda: defaultdict(list)))
    reached: dict[int, _Measures] = field(default_factory=lambda: defaultdict(lambda: defaultdict(list)))
    order: list[tuple[int, Pitch]] = field(default_factory=list)
    rings_open: bool = False

    def add(self, stop: Stop, position: int, pitch: Pitch, measure: int) -> None:
        """Add a note in playing order."""
        if stop.is_open:
            self.rings_open = True
            return
        found = self.reached if outward(stop, position) and is_stretched(stop, position) else self.placed
        found[stop.finger][pitch].append(measure)
        if found is self.placed:
            self.order.append((stop.finger, pitch))

    def meeting(self, places: Mapping[int, Pitch]) -> Iterator[tuple[tuple[int, int], tuple[tuple[Pitch, Pitch], ...]]]:
        """Yield by pair of neighbouring fingers the notes that follow each other, if they do elsewhere as well."""
        for low, high in pairwise(FINGERS):
            of_both = [each for each in self.order if each[0] in (low, high)]
            found = {
                (one[1], other[1]): None
                for one, other in (sorted(pair) for pair in pairwise(of_both) if pair[0][0] != pair[1][0])
            }
            if found.keys() - {(places[low], places[high])}:
                yield (low, high), tuple(sorted(found, key=lambda pair: (pair[0].midi, pair[1].midi)))


def _pattern(plan: Plan, position: int, string: int, played: _OnString, fifths: int) -> FingerPattern:
    open_pitch = plan.passage.instrument.open_pitch(string)
    fingers, reaching = played.placed, played.reached
    places = {}
    for finger in FINGERS:
        if finger in fingers:
            # Of notes that are played as often the first one: the hand finds it first.
            places[finger] = max(fingers[finger], key=lambda pitch: len(fingers[finger][pitch]))
        else:
            places[finger] = above_open(open_pitch, position - 1 + finger, fifths)
    _make_way(places, frozenset(fingers))
    elsewhere = {finger: _notes(notes, besides=places[finger]) for finger, notes in fingers.items()}
    return FingerPattern(
        position,
        string,
        places,
        {finger: pitch.midi - open_pitch.midi for finger, pitch in places.items()},
        frozenset(fingers) | frozenset(reaching),
        {finger: tuple(sorted({*notes[places[finger]]})) for finger, notes in fingers.items()},
        {finger: notes for finger, notes in elsewhere.items() if notes},
        {finger: _notes(notes) for finger, notes in reaching.items()},
        dict(played.meeting(places)),
        played.rings_open,
    )


def _notes(played: _Measures, besides: Pitch | None = None) -> tuple[PlacedNote, ...]:
    """The notes of a finger from the lowest, as they are written; without the one that is its place."""
    return tuple(
        PlacedNote(pitch, tuple(sorted({*played[pitch]})))
        for pitch in sorted(played, key=lambda pitch: (pitch.midi, pitch.letter))
        if pitch != besides
    )


def _make_way(places: dict[int, Pitch], used: frozenset[int]) -> None:
    """Move fingers that do not play: each stands a half step above the finger below it, at least.

    A second finger that reaches for the letter of the third leaves the third no room where the key would have it.
    """
    for finger in FINGERS[1:]:
        below = places[finger - 1].midi
        if finger not in used and places[finger].midi <= below:
            places[finger] = replace(places[finger], alter=places[finger].alter + below + 1 - places[finger].midi)
    for finger in reversed(FINGERS[:-1]):
        above = places[finger + 1].midi
        if finger not in used and places[finger].midi >= above:
            places[finger] = replace(places[finger], alter=places[finger].alter - (places[finger].midi + 1 - above))


__all__ = ["FingerPattern", "PlacedNote", "finger_patterns"]
