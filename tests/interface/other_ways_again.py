"""What a report says of another way, counted again from the notes of that way and of the plan.

A sentence is read by its words: which counts the way needs or avoids, and on which notes the hand lands. The way itself
is taken note by note; its figures are not asked for.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise

from rules import Alternative, AlternativeKind, ExplainedProposal, Grip, Plan
from service.messages.message import Wording
from service.messages.music_words import place_words
from tests.interface.counted_again import COUNTED, LONG, arrival_after, is_weak, ways

ENGLISH = Wording()
STAY = AlternativeKind.STAY
AROUND = 30
"""Events around those that are compared in which a shift may land; a place is told once in so many."""
COUNT = re.compile(
    r"\b(?P<number>one|\d+) (?P<what>string crossing|jump|finger hop|finger slide|shift|long note|trill"
    r"|long or trilled note)s?(?: over a string)?(?: on [^,.]*?)?(?: instead of (?P<before>one|\d+))?(?=[,. ]|$)"
)
LANDING = re.compile(
    r"position at ((?:(?! position ).)*?), landing on "
    r"((?:[A-G][♯♭𝄪𝄫]* \(\d\w\w finger, [EADGC] string\)(?:, | and )?)+)"
)
STOPPED = re.compile(r"([A-G][♯♭𝄪𝄫]*) \((\d)\w\w finger, ([EADGC]) string\)")
OPEN_OR_FOURTH = ("long", "trill")


def complaints_about_ways(plan: Plan, home: Plan, each: ExplainedProposal, told: str) -> Iterator[str]:
    """What is not so in the sentences about other ways of one passage."""
    for sentence in re.findall(r"[A-Z].*?[^♯♭]\.(?= [A-Z]|$)", told):
        stays = sentence.startswith("Stay in first position")
        ways_meant = [_AtHome(plan, home, each)] if stays else [
            _Taken(plan, each, other) for other in each.alternatives if other.kind is not STAY
        ]  # fmt: skip
        found = [list(way.complaints(sentence)) for way in ways_meant]
        if all(found):
            yield f"no other way is so: {sentence!r}: {min(found, key=len, default=[])}"


class _Way:
    """Another way beside the plan: its grips by event, and the events that are compared."""

    def __init__(
        self, plan: Plan, each: ExplainedProposal, first: int, last: int, grips: Sequence[Grip | None]
    ) -> None:
        self._plan, self._first, self._last, self._grips = plan, first, last, grips
        self._until = max(last + 1, arrival_after(plan, each.proposal.excursion.last))

    def complaints(self, sentence: str) -> Iterator[str]:
        """Counts and landing notes that are not so."""
        _, _, counts = sentence.partition(": this ")
        for found in COUNT.finditer(counts):
            verb = re.findall(r"needs|avoids|also", counts[: found.start()])
            number, before = _number(found["number"]), _number(found["before"])
            theirs, planned = (0, number) if verb and verb[-1] == "avoids" else (number, before)
            counted = self._counted(found["what"])
            if found["what"].startswith(OPEN_OR_FOURTH):
                if theirs > counted[0] or planned > counted[1]:
                    yield f"{found[0]!r}, but there are {counted}"
            elif counted != (theirs, planned):
                yield f"{found[0]!r}, but there are {counted}"
        for place, notes in LANDING.findall(sentence):
            wanted = {(name, int(finger), string) for name, finger, string in STOPPED.findall(notes)}
            near = range(max(0, self._first - AROUND), min(self._until + AROUND, len(self._plan.grips)))
            there = [event for event in near if place_words(ENGLISH, self._plan, event) == place]
            if not any(wanted == self._stopped(event) for event in there):
                yield f"{notes} is not at {place}"

    def _counted(self, what: str) -> tuple[int, int]:
        """How often something comes this way and as planned."""
        if what == "shift":
            return self._shifts(self._grips), self._shifts(self._plan.grips)
        if what.startswith(OPEN_OR_FOURTH):
            return self._weak(self._grips), self._weak(self._plan.grips)
        count = COUNTED[what]
        theirs, planned = (
            sum(map(count, ways(self._plan, self._first, self._until, grips)))
            for grips in (self._grips, self._plan.grips)
        )
        return theirs, planned

    def _shifts(self, grips: Sequence[Grip | None]) -> int:
        """Changes of position from note to note that a finger stops, with those before and after."""
        down = [event for event, grip in enumerate(grips) if grip is not None and not grip.is_open]
        near = [(a, b) for a, b in pairwise(down) if b >= self._first and a <= self._last]
        positions = [(grips[a], grips[b]) for a, b in near]
        return sum(a is not None and b is not None and a.position != b.position for a, b in positions)

    def _weak(self, grips: Sequence[Grip | None]) -> int:
        """Long notes and trills on an open string or the fourth finger."""
        return sum(
            is_weak(grips[event]) and (self._plan.event(event).seconds >= LONG or self._has_techniques(event))
            for event in range(self._first, self._last + 1)
        )

    def _has_techniques(self, event: int) -> bool:
        return any(note.techniques for note in self._plan.event(event).notes)

    def _stopped(self, event: int) -> set[tuple[str, int, str]]:
        grip = self._grips[event] if event < len(self._grips) else None
        instrument = self._plan.passage.instrument
        names = {pitch.midi: ENGLISH.note(pitch) for pitch in self._plan.event(event).pitches} if grip else {}
        return {
            (
                names.get(stop.pitch(instrument).midi, ""),
                stop.finger,
                ENGLISH.note(instrument.open_pitch(stop.string)),
            )
            for stop in (grip.stops if grip else ())
            if not stop.is_open
        }


class _AtHome(_Way):
    """First position throughout."""

    def __init__(self, plan: Plan, home: Plan, each: ExplainedProposal) -> None:
        excursion = each.proposal.excursion
        away = excursion.events
        grips = [home.grip(i) if i in away else grip for i, grip in enumerate(plan.grips)]
        super().__init__(plan, each, excursion.first, excursion.last, grips)
        self._home = home

    def _counted(self, what: str) -> tuple[int, int]:
        if what == "shift":
            return super()._counted(what)
        stays = self._grips
        self._grips = self._home.grips
        counted = super()._counted(what)
        self._grips = stays
        return counted


class _Taken(_Way):
    """A way note by note, with the positions that its shifts lead to."""

    def __init__(self, plan: Plan, each: ExplainedProposal, other: Alternative) -> None:
        grips = list(plan.grips)
        start = other.shifts[0].start if other.shifts else next(iter(other.positions), 1)
        for index, event in enumerate(plan.passage.events):
            stops = [other.stops[note.id] for note in event.notes if note.id in other.stops]
            if stops:
                position = next((s.goal for s in reversed(other.shifts) if s.arrival <= index), start)
                planned = plan.grip(index)
                held = [stop for stop in planned.stops if len(planned.stops) > len(event.notes)] if planned else []
                taken = {stop.string: stop for stop in [*held, *stops]}
                grips[index] = Grip(tuple(sorted(taken.values(), key=lambda stop: -stop.string)), position)
        super().__init__(plan, each, other.first, other.last, grips)


def _number(word: str | None) -> int:
    return 0 if word is None else 1 if word == "one" else int(word)
