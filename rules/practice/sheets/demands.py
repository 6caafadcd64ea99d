"""What the bars of a piece ask for that is hard for a hand, or beyond the level.

What a review of the piece warns of cannot be taken out of its bars. So the sheet says it, and leaves these notes to
the player (ad libitum): whoever checks the sheet then knows that it has been thought of.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from ...candidates.candidates import Candidates
from ...check.catalogue import all_rules
from ...check.catalogue.note_above_compass import is_above_compass
from ...check.rule import Concern, Finding, Rule, Scope, Severity
from ...hand.grip import Grip
from ...hand.grip_set import GripSet
from ...hand.level import Level
from ...music.bar_numbers import bar_number
from ...music.instrument import Instrument
from ...music.passage import Event
from ...plan.plan import Plan
from ...search.planner import Route
from ...text import Text, english, joined
from ..sheet import Section, SheetNote
from .shift_sections import bars_line

_WIDE = ("awkward-grip", "stretch-beyond-frame")
_ACROSS = ("fifth-across-two-strings",)
_JUMPS = ("finger-hop-across-strings", "string-skip")
_HURRIED = ("shift-without-time", "shift-under-slur")
_TRILLS = ("trill-on-fourth-finger",)
_BEYOND = ("note-outside-level", "position-beyond-level", "shift-kind-not-allowed")


@dataclass(frozen=True)
class Demands:
    """A plan whose hard places are ad libitum, and what these places are: by rule, the events (first and last)."""

    plan: Plan
    places: tuple[tuple[str, int, int], ...]

    def lines(self, measures: tuple[int, int]) -> Iterator[Text]:
        """Yield what is said of some measures."""
        if bars := self._bars(_WIDE, measures):
            yield english("The hand opens wide {in_bars}: only as far as it stays loose.", in_bars=bars_line(bars))
        if bars := self._bars(_ACROSS, measures):
            yield english("One finger lies across two strings {in_bars}.", in_bars=bars_line(bars))
        if bars := self._bars(_JUMPS, measures):
            yield english(
                "Under a slur {in_bars}, a finger or the bow jumps to another string: use separate bows first.",
                in_bars=bars_line(bars),
            )
        if bars := self._bars(_HURRIED, measures):
            yield english(
                "There is little time to shift {in_bars}: begin as slowly as the hand needs.", in_bars=bars_line(bars)
            )
        if bars := self._bars(_TRILLS, measures):
            yield english(
                "The fourth finger trills {in_bars}: short and light, or leave the trill out.", in_bars=bars_line(bars)
            )

    def beyond_level(self, measures: tuple[int, int]) -> bool:
        """Return True if something that is played in these measures lies beyond the level."""
        return bool(self._bars(_BEYOND, measures))

    def _bars(self, rules: Iterable[str], measures: tuple[int, int]) -> tuple[str, ...]:
        passage = self.plan.passage
        inside = {
            event.measure
            for rule, first, last in self.places
            if rule in rules
            for index, event in enumerate(passage.events[first : last + 1], start=first)
            if self.plan.grips[index] is not None and measures[0] <= event.measure <= measures[1]
        }
        return tuple(dict.fromkeys(bar_number(passage, bar) for bar in sorted(inside)))


def demands_of(plan: Plan) -> Demands:
    """Return what a plan asks for that a review of it warns of."""
    places = dict.fromkeys((*_places(plan, range(len(plan.passage.events))), *_places(*_as_played(plan))))
    asked = {index for _, first, last in places for index in range(first, last + 1)}
    events = tuple(_left_to_the_player(e) if index in asked else e for index, e in enumerate(plan.passage.events))
    return Demands(Plan(replace(plan.passage, events=events), plan.level, plan.route), tuple(places))


def _as_played(plan: Plan) -> tuple[Plan, Sequence[int]]:
    """The plan as the sheet is played, in one voice and without what no hand holds, and its events' numbers."""
    kept = [index for index, grip in enumerate(plan.grips) if grip is not None]
    options, chosen = zip(*(_struck(plan, index) for index in kept), strict=True) if kept else ((), ())
    events = tuple(replace(plan.event(index), jump=None, held=()) for index in kept)
    return Plan(replace(plan.passage, events=events), plan.level, Route(tuple(options), tuple(chosen), 0.0)), kept


def _struck(plan: Plan, index: int) -> tuple[Candidates, int]:
    """The grip at an event, as candidates and choice, without the notes that are held over from before."""
    option, chosen, event = plan.route.options[index], plan.route.chosen[index], plan.event(index)
    struck = {note.id for note in event.notes}
    if struck.issuperset(option.slots):
        return option, chosen
    grip = option.grips[chosen]
    pairs = [(id, stop) for id, stop in zip(option.slots, grip.stops, strict=True) if id in struck]
    alone = Grip(tuple(stop for _, stop in pairs), grip.position)
    return option._replace(slots=tuple(id for id, _ in pairs), grips=GripSet((alone,)), broken=()), 0


def _places(plan: Plan, numbers: Sequence[int]) -> Iterator[tuple[str, int, int]]:
    wanted = {*_WIDE, *_ACROSS, *_JUMPS, *_HURRIED, *_TRILLS, *_BEYOND}
    for rule in all_rules():
        if rule.id in wanted and rule.scope is not Scope.HOME:
            for finding in rule.check(plan, rule.options):
                if _is_told(rule, finding):
                    yield rule.id, numbers[finding.first], numbers[finding.last]


def _is_told(rule: Rule, finding: Finding) -> bool:
    outcome = rule.outcomes[finding.outcome]
    return outcome.concern is not Concern.PRINT and outcome.severity > Severity.NOTE


def _left_to_the_player(event: Event) -> Event:
    return replace(event, notes=tuple(replace(note, ad_libitum=True) for note in event.notes))


def beyond_level_left_out(section: Section, level: Level) -> Section:
    """Return the section with every note in a position beyond the level ad libitum; its text has to say so."""
    return _ad_libitum(section, lambda note: note.position is not None and note.position not in level.positions)


def _ad_libitum(section: Section, is_left: Callable[[SheetNote], bool]) -> Section:
    """The section with some of its notes left to the player."""
    exercises = (
        replace(
            exercise,
            bars=tuple(
                replace(bar, notes=tuple(replace(n, ad_libitum=n.ad_libitum or is_left(n)) for n in bar.notes))
                for bar in exercise.bars
            ),
        )
        for exercise in section.exercises
    )
    return replace(section, exercises=tuple(exercises))


def high_notes_told(section: Section, instrument: Instrument) -> Section:
    """Return the section with notes above the usual compass ad libitum, and a line about them: they may be misprints.

    A review tells of such notes, which come from a wrong clef or octave sign more often than from a composer. So
    whoever practises them ought to know.
    """
    high = [note for exercise in section.exercises for note in exercise.notes if _is_high(note, instrument)]
    if not high:
        return section
    line = english("The highest notes lie above what orchestral parts ask for: make sure that they are meant.")
    left = _ad_libitum(section, lambda note: _is_high(note, instrument))
    return replace(left, text=joined((section.text, line)))


def _is_high(note: SheetNote, instrument: Instrument) -> bool:
    return any(not tone.harmonic and is_above_compass(tone.pitch, instrument) for tone in note.tones)


__all__ = ["Demands", "beyond_level_left_out", "demands_of", "high_notes_told"]
