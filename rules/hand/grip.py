"""Stops, grips, and the hand frame that decides which of them exist.

Positions count letter names, the frame counts semitones. In position p the first finger's home lies p letter names
above the open string, and each next finger one letter further. A letter name is 12/7 of a semitone on average, so the
home of finger f in position p is 12/7 * (p + f - 1) semitones above the nut. A finger near its home is low or high.
Further away it is an extension (or a contraction), counted in whole semitones.
Source: common practice (low and high fingers; the frame of a perfect fourth from finger 1 to 4).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache, cached_property, lru_cache
from math import ceil, floor, log

from ..music.instrument import Instrument, Pitch

FINGERS = (1, 2, 3, 4)
HOME_POSITION = 1
HIGHEST_POSITION = 18
EVERY_POSITION = frozenset(range(HIGHEST_POSITION + 1))
"""From half position to the end of the fingerboard."""
HOME = 12 / 7
"""Average size of a letter name in semitones: the spacing of the fingers at home."""
REACH_DOWN = 1.3
"""Semitones below its home at which a finger still stands in the frame."""
REACH_UP = {1: 1.25, 2: 1.25, 3: 1.25, 4: 1.0}
"""Semitones above its home at which a finger still stands in the frame."""
AT_HOME = 0.5
"""Semitones from its home within which a finger stands there, whatever the letter of its note."""
FINGERBOARD = 36
"""Semitones above the nut at which even a long fingerboard ends (three octaves)."""
USUAL_HEIGHT = 19
"""Semitones above the nut beyond which a lower string is not used unless a mark asks for it."""
WIDEST = {1: 3.5, 2: 5.75, 3: 8.0}
"""Widest reach between two stopped fingers that lie 1, 2 or 3 apart, in the steps of `along` (common practice: tenths
are fingered 1-4, elevenths are not asked for)."""


@dataclass(frozen=True, slots=True)
class Stop:
    """One finger (0 for the open string) on one string; `semitones` and `letters` count from the open string."""

    string: int
    finger: int
    semitones: float
    letters: int

    @property
    def is_open(self) -> bool:
        """True for an open string."""
        return self.finger == 0

    def pitch(self, instrument: Instrument) -> Pitch:
        """Return the pitch that sounds, spelled with the letter of the stop."""
        return instrument.open_pitch(self.string).transposed(self.letters, self.semitones)


@dataclass(frozen=True)
class Grip:
    """The stops that sound together, from the lowest pitch, and the position of the hand that holds them.

    An open string alone keeps the hand where it is: there is one grip for each position. A grip serves many events, so
    what it is asked for is found once.
    """

    stops: tuple[Stop, ...]
    position: int

    def __hash__(self) -> int:
        return self._hash

    @cached_property
    def _hash(self) -> int:
        return hash((self.stops, self.position))

    @cached_property
    def is_open(self) -> bool:
        """True if no finger is down."""
        return all(stop.is_open for stop in self.stops)

    @cached_property
    def reaches(self) -> bool:
        """True if a finger leaves the frame, or an outer finger reaches for the letter beyond its own."""
        return any(self.is_reaching(stop) for stop in self.stops)

    def is_reaching(self, stop: Stop) -> bool:
        """Return True if the finger of one of the stops reaches out of the hand.

        A player calls the first finger a letter back, or the fourth a letter up, a reach even if it is small, because
        the other fingers stay. In first position a low first finger is usual, whatever its letter (common practice).
        """
        if stop.is_open:
            return False
        letter = outward(stop, self.position) and (stop.finger > 1 or self.position > 1)
        return letter or frame_excess(stop.semitones, stop.finger, self.position) != 0

    @cached_property
    def stretches(self) -> bool:
        """True if a finger is stretched (see `is_stretched`)."""
        return any(is_stretched(stop, self.position) for stop in self.stops)

    @cached_property
    def plain(self) -> bool:
        """True if every finger stands in the frame, under its own letter."""
        return self.by_letter and not self.excess

    @property
    def by_letter(self) -> bool:
        """True if every finger takes the letter that is its own in the position."""
        return all(stop.is_open or own_position(stop.letters, stop.finger) == self.position for stop in self.stops)

    @cached_property
    def excess(self) -> int:
        """Semitones outside the frame, all fingers together."""
        return sum(abs(frame_excess(stop.semitones, stop.finger, self.position)) for stop in self.stops if stop.finger)


@cache
def frame_excess(semitones: float, finger: int, position: int) -> int:
    """Return by how many semitones a finger stands outside the frame: above (+), below (-), or 0 within it."""
    home = HOME * (position + finger - 1)
    lowest, highest = ceil(home - REACH_DOWN), floor(home + REACH_UP[finger])
    if semitones > highest:
        return ceil(semitones - highest)
    return -ceil(lowest - semitones) if semitones < lowest else 0


def along(semitones: float) -> float:
    """Return the distance from the nut, in semitone steps as wide as the one at the fourth semitone.

    A stop lies at 1 - 2 ** (-semitones / 12) of the string (acoustics). An octave up, a semitone is half as wide, so
    the hand reaches further. Works on arrays as well.
    """
    steps: float = (1 - 2.0 ** (-semitones / 12)) * _STEPS
    return steps


_STEPS = 12 / log(2) * 2 ** (4 / 12)


def own_position(letters: int, finger: int) -> int:
    """Return the position in which `finger` takes the letter that lies `letters` above the open string."""
    return letters - finger + 1


def outward(stop: Stop, position: int) -> bool:
    """Return True if the first finger takes the letter below its own in a position, or the fourth that above."""
    own = own_position(stop.letters, stop.finger)
    return (stop.finger == 1 and own < position) or (stop.finger == FINGERS[-1] and own > position)


def is_stretched(stop: Stop, position: int) -> bool:
    """Return True if a finger widens the hand: beyond the frame, or an outer finger to the letter beyond its own.

    A finger that draws near the first one, as a low second finger does, leaves the hand as it is. So does an outer
    finger that takes the next letter where it stands anyway, as C flat under the fourth finger on the E string.
    """
    if stop.is_open:
        return False
    if outward(stop, position) and (stop.finger > 1 or position > HOME_POSITION):
        return abs(stop.semitones - HOME * (position + stop.finger - 1)) > AT_HOME
    excess = frame_excess(stop.semitones, stop.finger, position)
    return excess < 0 if stop.finger == 1 else excess > 0


def _positions_for(semitones: float, letters: int, finger: int) -> list[int]:
    """All positions from which the finger reaches the note: its own, a neighbour within the frame, or by extension."""
    own = own_position(letters, finger)
    found = []
    for position in range(max(own - 1, 0), own + 2):
        if position > HIGHEST_POSITION:
            continue
        excess = frame_excess(semitones, finger, position)
        extended = (finger == 4 and excess == 1) or (finger == 1 and excess == -1)
        if (position == own and abs(excess) <= 2) or (position != own and (excess == 0 or extended)):
            found.append(position)
    return found


def _displaced(stop: Stop) -> set[int]:
    """Positions from which a finger of a chord reaches at most one semitone out of the frame (outer fingers: two)."""
    own, finger = own_position(stop.letters, stop.finger), stop.finger
    near = range(max(own - 2, 0), min(own + 2, HIGHEST_POSITION) + 1)
    excess = {position: frame_excess(stop.semitones, finger, position) for position in near}
    return {p for p, e in excess.items() if abs(e) <= 1 or (finger == 4 and e == 2) or (finger == 1 and e == -2)}


@lru_cache(maxsize=4096)
def stops_for(pitch: Pitch, instrument: Instrument) -> tuple[tuple[Stop, tuple[int, ...]], ...]:
    """Return every stop that sounds `pitch`, each with the positions from which it is reached.

    An open string comes with an empty tuple, since it does not tell where the hand is.
    """
    found: list[tuple[Stop, tuple[int, ...]]] = []
    for string in instrument.string_numbers:
        open_pitch = instrument.open_pitch(string)
        semitones, letters = pitch.midi - open_pitch.midi, pitch.letter - open_pitch.letter
        if semitones == 0:
            found.append((Stop(string, 0, 0, 0), ()))
        if semitones <= 0 or semitones > FINGERBOARD:
            continue
        for finger in FINGERS:
            positions = _positions_for(semitones, letters, finger)
            if positions:
                found.append((Stop(string, finger, semitones, letters), tuple(positions)))
    return tuple(found)


def fits_together(low: Stop, high: Stop) -> bool:
    """Return True if one hand can hold both stops at once (they lie on different strings)."""
    if low.is_open or high.is_open:
        return True
    if low.finger == high.finger:
        return low.semitones == high.semitones and abs(low.string - high.string) == 1
    first, second = (low, high) if low.finger < high.finger else (high, low)
    apart, span = second.finger - first.finger, second.semitones - first.semitones
    return span >= apart - 1 and along(second.semitones) - along(first.semitones) <= WIDEST[apart]


_Choice = tuple[Stop, tuple[int, ...]]


def _combinations(
    choices: Sequence[Sequence[_Choice]], chosen: tuple[_Choice, ...] = ()
) -> Iterator[tuple[_Choice, ...]]:
    """Yield one choice for each note such that one hand can hold them all, on neighbouring strings.

    A stop that does not fit those already chosen is dropped at once, so few combinations are ever tried.
    """
    if len(chosen) == len(choices):
        yield chosen
        return
    for choice in choices[len(chosen)]:
        stop = choice[0]
        strings = [other.string for other, _ in chosen]
        if stop.string in strings or max(strings, default=stop.string) - stop.string >= len(choices):
            continue
        if stop.string - min(strings, default=stop.string) >= len(choices):
            continue
        if all(fits_together(other, stop) for other, _ in chosen):
            yield from _combinations(choices, (*chosen, choice))


@lru_cache(maxsize=8192)
def grips_for(
    pitches: tuple[Pitch, ...], instrument: Instrument, positions: frozenset[int], any_height: bool = False
) -> tuple[Grip, ...]:
    """Return every grip in one of `positions` that sounds all `pitches`, lowest position first, in a fixed order.

    Args:
        pitches: what sounds together, from the lowest.
        instrument: its open strings.
        positions: where the hand may be.
        any_height: also use the top of the lower strings (see `USUAL_HEIGHT`) and chords in which a finger leaves the
            frame. Only marks ask for these.
    """
    if len(pitches) > len(instrument.open_strings):
        return ()
    choices = []
    for pitch in pitches:
        found = stops_for(pitch, instrument)
        choices.append([c for c in found if any_height or c[0].string == 1 or c[0].semitones <= USUAL_HEIGHT])
    grips: list[Grip] = []
    for combination in _combinations(choices):
        stops = tuple(stop for stop, _ in combination)
        common = set(positions)
        for stop, reached in combination:
            if not stop.is_open:
                common &= set(reached) | (_displaced(stop) if any_height and len(stops) > 1 else set())
        grips.extend(Grip(stops, position) for position in common)
    return tuple(sorted(grips, key=_order))


def _order(grip: Grip) -> tuple[object, ...]:
    """Ties break towards the nut, then what leaves the frame least, then the upper strings, then low fingers."""
    return (
        grip.position,
        grip.excess,
        tuple(stop.string for stop in grip.stops),
        tuple(stop.finger for stop in grip.stops),
    )


OPEN_KEEPS = 7
"""Highest position in which the hand waits while only open strings sound."""
