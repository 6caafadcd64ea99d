"""Reads a player's report sentence by sentence, as a player with the part does, and holds it against the plan.

What a sentence says is taken from its words alone: the place, the notes with finger and string, the position, the
counts. Nothing of the code that made the sentence is asked. Counts are counted again from the stops.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

from rules import Excursion, ExplainedProposal, Plan, Stop
from service.messages.message import Wording
from service.messages.music_words import place_words, position_words
from service.reports.player.report import text_report
from service.usecases.annotate import PartReview
from tests.interface.counted_again import COUNTED, count_in, is_weak
from tests.interface.hand_again import steps_not_so
from tests.interface.other_ways_again import complaints_about_ways
from tests.interface.ways_back_again import comes_back, lies_there

ENGLISH = Wording()
REST_FOR_A_SHIFT = 0.1
"""Seconds of rest in which the hand can move."""
FIRST_POSITION = "first position"
POSITION = re.compile(r"\b(?:half|\w+th|first|second|third) position\b")
ACCIDENTALS = "♯♭𝄪𝄫"
STOPPED = re.compile(
    rf"([A-G][{ACCIDENTALS}]*) \((\d)(?:st|nd|rd|th) finger(?: stretched(?: back)?)?, ([EADGC]) string\)"
)
BAR_NUMBERS = re.compile(r"\b[Bb]ars? (\d+)(?:-(\d+))?((?:, \d+(?:-\d+)?)*(?: and \d+(?:-\d+)?)?)")
FINGER = r"{} ((?:[^,(;]|\([^)]*\))*)"
NOTE_NAME = re.compile(rf"(?<![A-Za-z])[A-G](?![a-z])[{ACCIDENTALS}]*")
EXCEPTION = re.compile(r"([^()]*?) in (bars? (?:\d+(?:-\d+)?(?:, | and |(?=[,)]|$)))+)")
CLIMB = re.compile(r"climb ([A-G♯♭𝄪𝄫 ]+) from the open ([EADGC]) string")
TONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
COUNT = re.compile(
    r"\b(?P<after>one|\d+) (?P<what>string crossing|jump|finger hop|finger slide)s?(?: over a string)?"
    r"(?: instead of (?P<before>one|\d+))?"
)
LONG_NOTES = re.compile(r"\b([Aa]|\d+) long notes? (?:\(([^)]*bars? [^)]*)\) )?sounds? warmer")
OUT_OF_REACH = re.compile(r"In first position (one|\d+) notes? (?:is|are) out of reach")
NEVER = (
    r"\{|\}", r"\.\.", r" ,", r"\band and\b", r"\bNone\b", r" \.", r"\binstead of 0\b", r"\b[01] \w+s\b(?<!bars)",
    r"\bone (?:shifts|notes|stretches|hops|slides|chords)\b", r"no other difference", r"\bP\d+\b",
)  # fmt: skip
"""What no sentence has."""
SAID_OF_A_NOTE = (
    (re.compile(rf"the long ([A-G][{ACCIDENTALS}]*) is on the 4th finger"), 4),
    (re.compile(rf"the long ([A-G][{ACCIDENTALS}]*) is on the open string"), 0),
    (re.compile(rf"the 4th finger reaches for ([A-G][{ACCIDENTALS}]*)"), 4),
    (re.compile(rf"the 4th finger plays (?:the grace note )?([A-G][{ACCIDENTALS}]*)"), 4),
    (re.compile(rf"the trill on ([A-G][{ACCIDENTALS}]*) is on the 4th finger"), 4),
    (re.compile(rf"the trill on ([A-G][{ACCIDENTALS}]*) is on the open"), 0),
)
"""Choices that name a note and the finger on which it is planned."""


def complaints(part: PartReview) -> list[str]:
    """Return what in the report of a part is not so."""
    return list(_Reading(part, text_report("part", [part])).complaints())


def complaints_about(part: PartReview, report: str) -> list[str]:
    """The same for another text of the report."""
    return list(_Reading(part, report).complaints())


Played = tuple[str, int, str]
"""The name of a note, its finger, and the name of its string."""


@dataclass(frozen=True)
class _Visit:
    """One numbered passage of a report: its title, and its texts by label."""

    title: str
    texts: Mapping[str, str]

    @cached_property
    def hands(self) -> dict[tuple[str, str], str]:
        """What is told of the hand, by position ("" if there is only one) and string."""
        found = {}
        for sentence in re.split(r"(?<=\.) ", self.texts.get("Hand", "")):
            if told := re.fullmatch(r"(?:(\w+ position), )?([EADGC]) string: (.*)\.", sentence):
                found[(told[1] or "").lower(), told[2]] = told[3]
        return found

    def hand(self, position: str, string: str) -> str:
        """What is told of the hand in a position on a string; "" if nothing is."""
        return self.hands.get((position, string)) or self.hands.get(("", string), "")


@dataclass
class _Reading:
    """A part with its report."""

    part: PartReview
    report: str
    plan: Plan = field(init=False)

    def __post_init__(self) -> None:
        self.plan = self.part.review.plan

    def complaints(self) -> Iterator[str]:
        flat = " ".join(self.report.split())
        yield from self._odd_words(flat)
        yield from self._bars_that_are_not_there(flat)
        yield from self._places_that_are_two(flat)
        yield from self._choices()
        explained = self.part.review.explanation.proposals
        visits = self._visits()
        yield from self._overview(flat, visits)
        if len(visits) != len(explained):
            yield f"{len(visits)} passages are told, {len(explained)} are planned"
            return
        for number, (visit, each) in enumerate(zip(visits, explained, strict=True)):
            if as_in := re.fullmatch(r"As in (\d+)\.", visit.texts.get("Hand", "")):
                visit.hands.update(visits[int(as_in[1]) - 1].hands)
                if int(as_in[1]) > number:
                    yield f"{visit.title}: the hand is told later"
            if "Why" not in visit.texts:
                yield f"{visit.title}: no reason"
            for complaint in (
                *self._shifts(visit),
                *self._listening(visit, each),
                *self._climbs(visit),
                *self._hands(visit, each.proposal.excursion),
                *self._counts(visit, each.proposal.excursion),
                *complaints_about_ways(self.plan, self.part.review.planned.home, each, visit.texts.get("Or", "")),
            ):
                yield f"{visit.title}: {complaint}"

    @cached_property
    def _places(self) -> dict[str, list[int]]:
        """The events by their places, as a sentence begins with them."""
        found: dict[str, list[int]] = {}
        for index in range(len(self.part.passage.events)):
            place = place_words(ENGLISH, self.plan, index)
            found.setdefault(place[:1].upper() + place[1:], []).append(index)
        return found

    def _odd_words(self, flat: str) -> Iterator[str]:
        for pattern in NEVER:
            for found in re.finditer(pattern, flat):
                yield f"odd: …{flat[max(0, found.start() - 40) : found.end() + 20]}…"

    def _bars_that_are_not_there(self, flat: str) -> Iterator[str]:
        labels = {measure.label for measure in self.part.passage.measures}
        for found in BAR_NUMBERS.finditer(flat):
            numbers = re.findall(r"\d+", found[0])
            yield from (f"no bar {number}: {found[0]!r}" for number in numbers if number not in labels)
            if any(first == last for first, last in re.findall(r"(\d+)-(\d+)", found[0])):
                yield f"a range of one bar: {found[0]!r}"
            if found[0].lower().startswith("bars") is not (len(numbers) > 1):
                yield f"one bar or several: {found[0]!r}"

    def _places_that_are_two(self, flat: str) -> Iterator[str]:
        for place, events in self._places.items():
            if len(events) > 1 and re.search(rf"{re.escape(place)}(?=:)", flat):
                yield f"{place!r} is said of {len(events)} places"

    def _overview(self, flat: str, visits: Sequence[_Visit]) -> Iterator[str]:
        """The bars that are named at the top are those of the passages."""
        said = re.findall(r"(?:Begin in [^(]*\(|[Ll]eave first position in )([^.)]*)", flat)
        top, titles = (
            {event for bars in named for events in self._events_by_bar(bars) for event in events}
            for named in (said, [visit.title.partition(". ")[2].partition(":")[0] for visit in visits])
        )
        if top != titles:
            yield f"the bars at the top are {said}, the passages {[visit.title for visit in visits]}"

    def _visits(self) -> list[_Visit]:
        found = []
        for block in re.split(r"\n  (?=\d+\. )", self.report)[1:]:
            texts: dict[str, str] = {}
            label = "Title"
            for line in block.split("\n\n")[0].split("\n"):
                if head := re.match(r"     (\S+)", line):
                    label, line = head[1], line[head.end() :]
                texts[label] = f"{texts.get(label, '')} {line.strip()}".strip()
            found.append(_Visit(texts["Title"], texts))
        return found

    def _played(self, event: int) -> set[Played]:
        """What fingers stop at an event."""
        instrument = self.part.passage.instrument
        fingered = (self.plan.by_note[note.id] for note in self.plan.event(event).notes)
        return {
            (ENGLISH.note(each.note.pitch), each.stop.finger, ENGLISH.note(instrument.open_pitch(each.stop.string)))
            for each in fingered
            if each.stop is not None and not each.stop.is_open
        }

    def _shifts(self, visit: _Visit) -> Iterator[str]:
        """Each step: the notes on which the hand lands, those that it leaves, and what lies between."""
        said = re.split(r"(?<=[.:]) (?=(?:Bar|The upbeat|Stay in)\b)", visit.texts.get("Shift", ""))
        for sentence in said:
            if sentence.startswith("Stay in"):
                continue
            place, _, told = sentence.partition(": ")
            if place not in self._places:
                yield f"no such place: {sentence!r}"
                continue
            _, _, landing = told.rpartition("Land on ") if "Land on" in told else told.rpartition(", on ")
            goal = POSITION.findall(told)[-1]
            events = [event for event in self._places[place] if self._is_played(event, landing, goal)]
            if not events:
                yield f"not planned so: {sentence!r}"
                continue
            yield from self._way_to(events[0], told)
            if goal != FIRST_POSITION:
                yield from _against_the_hand(visit, landing, goal)

    def _is_played(self, event: int, notes: str, position: str) -> bool:
        grip = self.plan.grip(event)
        heard = {(name, int(finger), string) for name, finger, string in STOPPED.findall(notes)}
        return grip is not None and position_words(ENGLISH, grip.position) == position and self._played(event) == heard

    def _way_to(self, event: int, told: str) -> Iterator[str]:
        grips = self.plan.grips
        before = next((i for i in range(event - 1, -1, -1) if (grip := grips[i]) and not grip.is_open), None)
        if before is None or not told.partition("shift ")[1]:
            return
        way = told.partition("shift ")[0]
        if way.startswith("from "):
            left = {(name, int(finger), string) for name, finger, string in STOPPED.findall(way)}
            if left != self._played(before):
                yield f"the hand does not come so: {told!r}"
        between = grips[before + 1 : event]
        rest = max(self.plan.event(index).rest for index in range(before + 1, event + 1))
        if any(grip is None for grip in between) and not re.search("out of reach|rest just|rest before|while", way):
            yield f"passes over notes that are left out: {told!r}"
        if any(grip is not None for grip in between) and not re.search("open|rest just|out of reach", way):
            yield f"passes over an open string: {told!r}"
        if ("rest" in way) is not (rest >= REST_FOR_A_SHIFT):
            yield f"a rest is passed over, or there is none: {told!r}"

    def _listening(self, visit: _Visit, each: ExplainedProposal) -> Iterator[str]:
        """The first finger is told alike where it is listened for and where the hand is told."""
        for anchor in each.listen:
            string = ENGLISH.note(self.part.passage.instrument.open_pitch(anchor.string))
            note = ENGLISH.note(anchor.pitch)
            if not re.search(rf"{note}(?![{ACCIDENTALS}]).* on the {string} string", visit.texts.get("Listen", "")):
                yield f"{note} is not told in {visit.texts.get('Listen')!r}"
            hand = visit.hand(position_words(ENGLISH, anchor.position), string)
            first = re.match(FINGER.format(1), hand)
            if first and not _names(first[1], note):
                yield f"listen for {note}, but the hand is {hand!r}"

    def _climbs(self, visit: _Visit) -> Iterator[str]:
        """A climb begins on the open string, and no step of it is wider than a whole tone."""
        for notes, string in CLIMB.findall(visit.texts.get("Listen", "")):
            names = notes.split()
            steps = [(_tone(b) - _tone(a)) % 12 for a, b in pairwise(names)]
            if names[0] != string or not set(steps) <= {1, 2}:
                yield f"no climb: {notes}"

    def _hands(self, visit: _Visit, excursion: Excursion) -> Iterator[str]:
        """Of every string the hand tells the notes that are played on it, finger by finger, and no others."""
        for (position, string), told in visit.hands.items():
            played = self._on_string(excursion, position, string)
            if bool(re.match(r"open [A-G]", told)) is not self._sounds_open(excursion, position, string):
                yield f"{told!r}, but the open string sounds, or does not"
            main: dict[int, float] = {}
            for finger in range(1, 5):
                found = re.search(rf"(?:^|, ){FINGER.format(finger)}", told)
                names = NOTE_NAME.findall(found[1]) if found else []
                is_place = (
                    found is not None
                    and finger == 1
                    and bool(re.fullmatch(r"\S+ \(stretched back to (?!.* in bar).*", found[1]))
                )
                if set(names[1 if is_place else 0 :]) != set(played[finger]):
                    yield f"{told!r}, but the finger {finger} plays {sorted(played[finger])}"
                elif names and not is_place and "stretched" not in names[0]:
                    main[finger] = played[finger][names[0]]
                yield from self._exceptions(found[1] if found else "", excursion, position, string, finger)
            yield from steps_not_so(told, played, main)

    def _sounds_open(self, excursion: Excursion, position: str, string: str) -> bool:
        """Whether a string sounds open between notes that fingers stop in a position."""
        instrument = self.part.passage.instrument
        down = [(e, grip.position) for e in excursion.events if (grip := self.plan.grip(e)) and not grip.is_open]
        for event in excursion.events:
            grip = self.plan.grip(event)
            before = [place for e, place in down if e <= event][-1:]
            after = [place for e, place in down if e >= event][:1]
            if grip is None or not before or before != after:
                continue
            if position in ("", position_words(ENGLISH, before[0])) and any(
                stop.is_open and ENGLISH.note(instrument.open_pitch(stop.string)) == string for stop in grip.stops
            ):
                return True
        return False

    def _on_string(self, excursion: Excursion, position: str, string: str) -> dict[int, dict[str, float]]:
        """What each finger plays on a string in a position: semitones above the string by the name of the note."""
        found: dict[int, dict[str, float]] = {finger: {} for finger in range(1, 5)}
        for _, name, stop in self._stops(excursion, position):
            if ENGLISH.note(self.part.passage.instrument.open_pitch(stop.string)) == string:
                found[stop.finger][name] = stop.semitones
        return found

    def _stops(self, excursion: Excursion, position: str) -> Iterator[tuple[int, str, Stop]]:
        """The stopped notes of an excursion in a position ("" for any), each with its event and name."""
        for event in excursion.events:
            grip = self.plan.grip(event)
            if grip is None or grip.is_open or position not in ("", position_words(ENGLISH, grip.position)):
                continue
            for note in self.plan.event(event).notes:
                stop = self.plan.by_note[note.id].stop
                if stop is not None and not stop.is_open:
                    yield event, ENGLISH.note(note.pitch), stop

    def _exceptions(self, told: str, excursion: Excursion, position: str, string: str, finger: int) -> Iterator[str]:
        """The bars of the rarer notes of a finger are those in which it plays them."""
        instrument, measures = self.part.passage.instrument, self.part.passage.measures
        for names, bars in EXCEPTION.findall(told.partition("(")[2]):
            for name in NOTE_NAME.findall(names):
                own = {
                    measures[self.plan.event(event).measure].label
                    for event, played, stop in self._stops(excursion, position)
                    if (played, stop.finger) == (name, finger)
                    and ENGLISH.note(instrument.open_pitch(stop.string)) == string
                }
                if not set(_numbers(bars)) <= own:
                    yield f"{told!r}, but {name} is played in bars {sorted(own)}"

    def _counts(self, visit: _Visit, excursion: Excursion) -> Iterator[str]:
        """What the reasons count, counted again."""
        why = re.split(r"; first position is", visit.texts.get("Why", ""))[0]
        home = self.part.review.planned.home
        for found in COUNT.finditer(why):
            verbs = re.findall(r"\b(?:avoids|needs|but)\b", why[: found.start()].rpartition(". ")[2])
            avoided = found["before"] is None and verbs[-1:] == ["avoids"]
            before, after = _number(found["before"]), _number(found["after"])
            if avoided:
                before, after = after, 0
            count = COUNTED[found["what"]]
            counted = count_in(self.plan, excursion, home, count)
            if counted != (after, before):
                yield f"{found[0]!r}, but there are {counted[0]} instead of {counted[1]}"
        for found in LONG_NOTES.finditer(why):
            number = 1 if found[1] in "Aa" else int(found[1])
            weak = [
                event for event in excursion.events
                if is_weak(home.grip(event)) and not is_weak(self.plan.grip(event))
            ]  # fmt: skip
            if number > len(weak):
                yield f"{found[0]!r}, but there are {len(weak)} notes"
            bars = {self.part.passage.measures[self.plan.event(event).measure].label for event in weak}
            if found[2] and not set(_numbers(found[2])) <= bars:
                yield f"{found[0]!r}, but they stand in bars {sorted(bars)}"
        yield from self._out_of_reach(why, excursion)

    def _out_of_reach(self, why: str, excursion: Excursion) -> Iterator[str]:
        """Notes out of reach, where the bars have single notes only."""
        found = OUT_OF_REACH.search(why)
        bars = range(self.plan.event(excursion.first).measure, self.plan.event(excursion.last).measure + 1)
        events = [(i, event) for i, event in enumerate(self.part.passage.events) if event.measure in bars]
        if found is None or any(len(event.notes) > 1 or event.held for _, event in events):
            return
        home = self.part.review.planned.home
        lacking = sum(home.grip(index) is None or home.route.options[index].only_beyond for index, _ in events)
        if lacking != _number(found[1]):
            yield f"{found[0]!r}, but there are {lacking}"

    def _choices(self) -> Iterator[str]:
        """What is left to decide is said of notes that are there, under the finger on which they are planned."""
        for block in re.split(r"(?<=[.\w])\n    (?=(?:Bars?|The upbeat) )|\n\n", self.report):
            place, colon, told = " ".join(block.split()).partition(": ")
            for pattern, finger in SAID_OF_A_NOTE:
                note = pattern.match(told)
                if not colon or note is None:
                    continue
                groups = [self._places[place]] if place in self._places else self._events_by_bar(place)
                if not groups or not all(self._has(events, note[1], finger) for events in groups):
                    yield f"not planned so: {place}: {told}"
                elif not lies_there(self.plan, groups, told):
                    yield f"not found there: {place}: {told}"
                elif place in self._places and not comes_back(self.plan, self._places[place][0], told):
                    yield f"the way back is not so: {place}: {told}"

    def _events_by_bar(self, bars: str) -> list[list[int]]:
        labels = [measure.label for measure in self.part.passage.measures]
        found = []
        for first, last in re.findall(r"(\w+)(?:-(\w+))?", bars.partition(" ")[2].replace(" and ", ", ")):
            if first not in labels or (last and last not in labels):
                return []
            named = range(labels.index(first), labels.index(last or first) + 1)
            found += [
                [i for i, event in enumerate(self.part.passage.events) if event.measure == measure] for measure in named
            ]
        return found

    def _has(self, events: Sequence[int], name: str, finger: int) -> bool:
        return any(
            ENGLISH.note(note.pitch) == name and stop is not None and stop.finger == finger
            for event in events
            for note in self.plan.event(event).notes
            for stop in (self.plan.by_note[note.id].stop,)
        )


def _against_the_hand(visit: _Visit, landing: str, position: str) -> Iterator[str]:
    for name, finger, string in STOPPED.findall(landing):
        hand = visit.hand(position, string)
        told = re.search(rf"(?:^|, ){FINGER.format(finger)}", hand)
        if hand and (told is None or not _names(told[1], name)):
            yield f"lands on {name} with the finger {finger}, but the hand is {hand!r}"


def _names(told: str, note: str) -> bool:
    return re.search(rf"\b{note}(?![{ACCIDENTALS}])", told) is not None


def _tone(name: str) -> int:
    """A note's place in the octave, in semitones above C."""
    return TONES[name[0]] + name.count("♯") - name.count("♭")


def _number(word: str | None) -> int:
    return 0 if word is None else 1 if word == "one" else int(word)


def _numbers(bars: str) -> list[str]:
    return re.findall(r"\d+", bars)
