"""What a report says around its passages is held against the plan: hard bars, notes beyond the level, long notes."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import music21
import pytest

from rules import HIGHEST_POSITION, LEVELS, Pitch, Plan, grips_for
from service.config.options import read_options
from service.messages.message import Wording
from service.messages.music_words import position_words
from service.reports.player.choices import note_with_height
from service.reports.player.report import text_report
from service.usecases.annotate import PartReview, review_score
from tests.conftest import ROOT
from tests.interface.counted_again import COUNTED, ways

ENGLISH = Wording()
SAMPLES = sorted((ROOT / "sample_scores").glob("*.m*x*l"))
CORPUS = Path(music21.__file__).parent / "corpus"
WORKS = (
    "beethoven/opus18no1/movement1.mxl", "beethoven/opus59no1/movement2.mxl", "corelli/opus3no1/1grave.xml",
    "haydn/opus1no1/movement3.mxl", "haydn/opus74no1/movement1.mxl", "mozart/k156/movement1.mxl",
    "schumann_robert/opus41no1/movement1.mxl",
)  # fmt: skip
BARS = r"[Bb]ars? (\d[\d,\- ]*(?:and \d[\d-]*)?)"
BY_BAR = re.compile(rf"{BARS} \(([^)]*)\)")
VERY_HIGH = re.compile(r"([^:]+): (.*) is out of reach at this level\. Play it an octave lower, or leave it out\.")
BEYOND = re.compile(
    r"(?P<where>[^:]+): (?P<notes>[^:]*?) (?:is|are) out of reach at this level\. "
    r".* learned (?P<position>\w+ position) \((?P<fingers>[^)]*)\)\."
)
HELD = re.compile(
    r"(?P<where>[^:]+): these long notes are on the 4th finger\. .* in (?P<position>\w+ position) "
    r"\((?P<fingers>[^)]*)\) and come back\."
)
TO_NOTE = re.compile(r"(\d)\w\w finger to ([A-G][♯♭𝄪𝄫]?)")
FROM_TO = re.compile(r"(\d)\w\w finger (from|between) ([A-G][♯♭𝄪𝄫]?) (?:to|and) ([A-G][♯♭𝄪𝄫]?)")


def sections(report: str) -> dict[str, list[str]]:
    """What stands under each heading of a report, sentence by sentence; each begins with its bars."""
    found: dict[str, list[str]] = {}
    title = ""
    for line in report.splitlines():
        if not line.startswith("    ") or line.startswith("     "):
            title = line.strip()
        elif re.match(r"    (Bars? |The upbeat)", line) and all(each[-1] == "." for each in found.get(title, [])):
            found.setdefault(title, []).append(line.strip())
        elif title in found:
            found[title][-1] += f" {line.strip()}"
    return found


def numbers(bars: str) -> set[str]:
    """The bars of "9, 17-19 and 21"."""
    found: set[str] = set()
    for first, last in re.findall(r"(\d+)(?:-(\d+))?", bars):
        found |= set(map(str, range(int(first), int(last or first) + 1)))
    return found


def complaints(part: PartReview) -> Iterator[str]:
    told = sections(text_report("part", [part]))
    yield from hard_bars(part, told.get("Practise first what is hardest for the left hand:", []))
    yield from beyond(part, told.get("Beyond this level", []))
    yield from held(part, told.get("For you to decide", []))


def events_in(plan: Plan, bars: set[str]) -> Iterator[int]:
    return (i for i, event in enumerate(plan.passage.events) if plan.passage.measures[event.measure].label in bars)


def fingered(plan: Plan, event: int) -> set[tuple[int, str, int]]:
    """What the hand holds at an event, held notes too: finger, note, string."""
    grip, instrument = plan.grip(event), plan.passage.instrument
    return {
        (
            stop.finger,
            ENGLISH.note(instrument.open_pitch(stop.string).transposed(stop.letters, stop.semitones)),
            stop.string,
        )
        for stop in (grip.stops if grip else ())
    }


def hard_bars(part: PartReview, lines: list[str]) -> Iterator[str]:
    """Fingers that stretch, hop or slide have the notes that are named, in every bar that is named."""
    plan = part.review.plan
    for line in lines:
        where, _, what = line.partition(": ")
        for bar in numbers(where):
            events = list(events_in(plan, {bar}))
            yield from hops_and_slides(plan, events, line)
            for finger, note in TO_NOTE.findall(what):
                if not any((int(finger), note) in {stop[:2] for stop in fingered(plan, event)} for event in events):
                    yield f"{line}: no {note} in bar {bar}"
            for finger, way, start, goal in FROM_TO.findall(what):
                ways = [(start, goal), (goal, start)] if way == "between" else [(start, goal)]
                for a, b in ways:
                    if not any(
                        (int(finger), a) in {stop[:2] for stop in fingered(plan, event - 1)}
                        and (int(finger), b) in {stop[:2] for stop in fingered(plan, event)}
                        for event in events
                        if event
                    ):
                        yield f"{line}: not from {a} to {b} in bar {bar}"


def hops_and_slides(plan: Plan, events: list[int], line: str) -> Iterator[str]:
    """Hops and slides of a finger in a bar, counted again."""
    for number, what in re.findall(r"(one|\d+) (finger hop|finger slide)", line):
        counted = sum(map(COUNTED[what], ways(plan, events[0], events[-1], plan.grips)))
        if counted != (1 if number == "one" else int(number)):
            yield f"{line}: {counted} times {what}"


def beyond(part: PartReview, lines: list[str]) -> Iterator[str]:
    """Every single note out of reach is told in its bar, and no other; the fingers have it in the position."""
    plan = part.review.plan
    wanted = {
        (plan.passage.label(event), note_with_height(ENGLISH, plan.passage.instrument, event.pitches[0]))
        for index, event in enumerate(plan.passage.events)
        if plan.route.options[index].left_out and len(event.notes) == 1 and not event.held
    }
    said: set[tuple[str, str]] = set()
    for line in lines:
        if high := VERY_HIGH.fullmatch(line):
            said |= set(by_bar(*high.groups()))
        if (found := BEYOND.fullmatch(line)) is None:
            continue
        own = set(by_bar(found["where"], found["notes"]))
        said |= own
        pitches = {
            event.pitches[-1]
            for index, event in enumerate(plan.passage.events)
            if plan.route.options[index].left_out
            and any(
                (plan.passage.label(event), note_with_height(ENGLISH, plan.passage.instrument, pitch)) in own
                for pitch in event.pitches
            )
        }
        yield from fingers(part, line, found["position"], found["fingers"], pitches)
    for bar, note in wanted - said:
        yield f"{note} in bar {bar} is not told"
    for bar, note in said - wanted:
        if all(len(plan.event(i).notes) == 1 and not plan.event(i).held for i in events_in(plan, {bar})):
            yield f"{note} in bar {bar} is not out of reach"


def by_bar(where: str, notes: str) -> Iterator[tuple[str, str]]:
    """Bars with the notes that are told of them."""
    pairs = BY_BAR.findall(where) if notes == "these notes" else [(where, notes)]
    for bars, named in pairs:
        bars = re.sub(r",? (?:beat|first|second|last|note|half|third|fourth|fifth|sixth|the|grace).*", "", bars)
        for bar in numbers(bars):
            yield from ((bar, note) for note in re.split(r", | and ", named))


def fingers(part: PartReview, line: str, position: str, told: str, pitches: set[Pitch]) -> Iterator[str]:
    """The fingers that are told take these notes in the position, and there is one for each."""
    instrument = part.passage.instrument
    number = next(n for n in range(HIGHEST_POSITION + 1) if position_words(ENGLISH, n) == position)
    pairs = {(int(each[0]), each[2:].removeprefix("stretched to ")) for each in told.split(", ")}
    for pitch in pitches:
        grips = grips_for((pitch,), instrument, frozenset({number}), any_height=True)
        if not {(grip.stops[0].finger, ENGLISH.note(pitch)) for grip in grips} & pairs:
            yield f"{line}: no finger for {pitch.name}"


def held(part: PartReview, lines: list[str]) -> Iterator[str]:
    """Long notes that are told together lie under the 4th finger in their bars."""
    plan = part.review.plan
    for line in lines:
        if (found := HELD.fullmatch(line)) is None:
            continue
        own = set(by_bar(found["where"], "these notes"))
        pitches = set[Pitch]()
        for bar, note in own:
            here = [
                plan.event(index).pitches[0]
                for index in events_in(plan, {bar})
                if (4, note) in {stop[:2] for stop in fingered(plan, index)}
            ]
            if not here:
                yield f"{line}: {note} in bar {bar} is not on the 4th finger"
            pitches |= set(here)
        yield from fingers(part, line, found["position"], found["fingers"], pitches)


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_what_is_said_around_the_passages_of_a_sample_is_so(path: Path, level: str) -> None:
    for part in review_score(path.read_bytes(), read_options({"level": [level]})):
        assert list(complaints(part)) == []


@pytest.mark.parametrize("level", ["first", "first-and-third"])
def test_what_is_said_around_the_passages_of_a_work_is_so(level: str) -> None:
    path = CORPUS / "haydn" / "opus74no1" / "movement3.mxl"
    part = review_score(path.read_bytes(), read_options({"level": [level]}))[0]
    assert list(complaints(part)) == []
    told = sections(text_report("part", [part]))
    assert told["Beyond this level"]
    assert told["Practise first what is hardest for the left hand:"]
    wrong = [line.replace("the high F", "the high E") for line in told["Beyond this level"]]
    assert list(beyond(part, wrong))
    hard = told["Practise first what is hardest for the left hand:"]
    assert list(hard_bars(part, [re.sub(r"finger (to|from|between) [A-G]", r"finger \1 D", line) for line in hard]))


@pytest.mark.long
@pytest.mark.parametrize("name", WORKS)
def test_what_is_said_around_the_passages_of_more_works_is_so(name: str) -> None:
    for level in LEVELS:
        for part in review_score((CORPUS / name).read_bytes(), read_options({"level": [level]})):
            assert list(complaints(part)) == [], f"{name} at {level}"
