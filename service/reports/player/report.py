"""The report for a player: where to leave first position and why, how, by which ear, and what is left to decide."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator, Sequence
from pathlib import PurePath

from rules import HOME_POSITION, LEVELS, AnchorHelp, Excursion, ExplainedProposal, Level, bar_number, bars_beyond

from ...errors import Sentence
from ...messages.glossary import glossary
from ...messages.message import ENGLISH, Message, Wording, sentence
from ...messages.message import LEVELS as LEVEL_WORDS
from ...messages.music_words import (
    INSTRUMENT_TITLES,
    bar_list,
    bars_words,
    place_words,
    position_words,
    ranges_words,
    string_words,
)
from ...messages.player import excursions, overview
from ...musicxml.formats.known_formats import FORMATS, MIDI
from ...musicxml.notation.part import FOR_PLAYBACK
from ...musicxml.read.timeline import UNISON
from ...naming import Language
from ...usecases.annotate import PartReview
from .choices import Choice, player_choices
from .hand import hand_sentences, listen_sentence
from .hard_bars import hard_bars, stretched_words
from .other_ways import near_ways, positions_words, saving_words, way_sentence, ways_compared
from .reasons import COUNTED_REASONS, why
from .shifts import shift_sentences
from .violations import violation_sentence

COLUMNS = 100
"""Lines are broken here, so that they can be read in a terminal and in a letter."""
EXPLAINED = frozenset(
    {
        "position",
        "half position",
        "jump over a string",
        "stretch",
        "finger hop",
        "finger slide",
        "guide finger",
        "double stop",
        "chord",
        "harmonic",
    }
)
"""Terms of the glossary that a report explains where it has them: a pupil meets them here first."""
_INDENT, _LABEL = 5, 9
_CONVERTED = frozenset(format.remark for format in FORMATS if format is not MIDI)
"""Said of a file that comes back as MusicXML. From MIDI notes may be wrong, and that matters to who plays them."""


def text_report(name: str, parts: Sequence[PartReview]) -> str:
    """Return the whole report for one file, lines ended by newlines; `name` is what the file is called."""
    wording = Wording(parts[0].language) if parts else ENGLISH
    file = PurePath(name).name
    lines, told = list[str](), list[str]()
    title = ""
    names = _part_names(wording, parts)
    for part, part_name in zip(parts, names, strict=True):
        report = _PartReport(part, part_name)
        if part.title != title:
            title = part.title
            lines += [*[""][: len(lines)], *_heading(wording, part, file)]
        own = list(report.lines())
        told += own
        heading = report.heading("" if lines else file)
        lines.extend(line for text in [*[""][: len(lines)], heading, *own] for line in _broken(text))
    lines = lines or [file]
    counted = any(COUNTED_REASONS & set(each.reasons) for part in parts for each in part.review.planned.proposals)
    ends = [
        _words(wording, "\n".join(told), counts=counted),
        _about_the_file(wording, parts, names),
        [wording.say(overview.CAUTION if _proposes(told) else overview.CAUTION_ONLY)],
    ]
    for end in filter(None, ends):
        lines.extend(["", *(line for text in end for line in _broken(f"  {text}"))])
    return "\n".join(lines) + "\n"


def _heading(wording: Wording, part: PartReview, file: str) -> list[str]:
    """Composer, title and file of a piece that has a title; a file is no title."""
    title = part.title
    if title and part.composer:
        title = wording.say(overview.BY, composer=part.composer, title=title)
    return [wording.say(overview.PIECE, title=title, file=file) if file else title] if title else []


def _words(wording: Wording, text: str, *, counts: bool) -> list[str]:
    """What the terms mean that a report has and a pupil may not know, each once, and what `counts` run over.

    First position is what a pupil knows.
    """
    known = re.escape(position_words(wording, HOME_POSITION).casefold())
    flat = re.sub(rf"\b{known}\b", "", " ".join(text.split()).casefold())
    found = [
        wording.say(overview.WORD, word=term.names(wording.language)[0], meaning=term.meaning(wording.language))
        for term in glossary()
        if term.names(Language.BRITISH)[0] in EXPLAINED
        and any(re.search(rf"\b{re.escape(name.casefold())}\b", flat) for name in term.names(wording.language))
    ]
    if counts:
        found.append(wording.say(overview.COUNTING))
    return [wording.say(overview.WORDS_TITLE), *(f"  {sentence(told)}" for told in found)] if found else []


def _about_the_file(wording: Wording, parts: Sequence[PartReview], names: Sequence[str]) -> list[str]:
    """What was to be repaired or left out when the file was read; of what format it was, a player does not ask."""
    found: dict[str, None] = {}
    for part, name in zip(parts, names, strict=True):
        for remark in part.remarks:
            text = wording.text(remark)
            if len(parts) > 1 and remark in part.passage.remarks:
                text = wording.say(overview.OF_PART, part=name, remark=text)
            if remark not in _CONVERTED and not _is_nothing_to_play_by(remark):
                found[text] = None
    for part in parts:
        if not part.passage.tempo_is_given:
            found[wording.say(overview.NO_TEMPO, tempo=wording.number(round(part.passage.quarter_tempo)))] = None
    return [wording.say(overview.ABOUT_THE_FILE), *(f"  {sentence(text)}" for text in found)] if found else []


def _proposes(told: Sequence[str]) -> bool:
    """Whether a report has more to say of its parts than a sentence each: that is no list of proposals."""
    return any(not line for line in told)


def _is_nothing_to_play_by(remark: str) -> bool:
    """Whether a remark with its bars is about what a player never sees, or plays alike with or without it."""
    return isinstance(remark, Sentence) and remark.parts.get("what") in (FOR_PLAYBACK, UNISON)


def _part_names(wording: Wording, parts: Sequence[PartReview]) -> list[str]:
    """The name of each part without a full stop; one without a name is called by its instrument, and counted."""
    names = []
    for index, part in enumerate(parts):
        beside = [each for each, other in enumerate(parts) if other.title == part.title]
        name = part.passage.name.rstrip(" .:")
        if not name:
            name = wording.say(INSTRUMENT_TITLES[part.passage.instrument.name])
            if len(beside) > 1:
                number, count = beside.index(index) + 1, len(beside)
                name = wording.say(overview.PART_OF_SEVERAL, instrument=name, number=str(number), count=str(count))
        names.append(name)
    return names


class _PartReport:
    """The report of one part, section by section."""

    def __init__(self, part: PartReview, name: str) -> None:
        self._part, self._name = part, name
        self._plan = part.review.plan
        self._wording = Wording(part.language)
        self._listened: dict[AnchorHelp, int] = {}
        self._hands: dict[tuple[str, ...], int] = {}

    def heading(self, file: str = "") -> str:
        """The part and its level; with the file, where no title has named it."""
        level = level_words(self._wording, self._plan.level)
        name = self._wording.say(overview.PIECE, title=self._name, file=file) if file else self._name
        return self._wording.say(overview.PART, name=name, level=level)

    def lines(self) -> Iterator[str]:
        wording = self._wording
        yield from self._beyond()
        yield f"  {self._overview()}"
        if hard := hard_bars(wording, self._plan):
            yield f"  {wording.say(overview.HARDEST)}"
            yield from (f"    {bar}" for bar in hard)
        explained = self._part.review.explanation.proposals
        if explained and self._part.explain:
            yield f"  {wording.say(overview.EFFORT_SCALE)}"
        for number, each in enumerate(explained, start=1):
            yield ""
            yield from self._visit(number, each)
        choices = player_choices(wording, self._part)
        yield from self._section(overview.ASKED_TITLE, self._asked())
        yield from self._section(overview.UNMET_TITLE, self._unmet())
        yield from self._section(overview.BEYOND_TITLE, _texts(choices, beyond=True))
        yield from self._section(overview.CHOICES_TITLE, _texts(choices, beyond=False))

    def _beyond(self) -> Iterator[str]:
        """Which bars have notes that the level does not reach, in one sentence at the top."""
        runs = bars_beyond(self._plan)
        labels = [[bar_number(self._part.passage, measure) for measure in run] for run in runs]
        if labels:
            bars = bar_list(self._wording, labels)
            count = sum(last - first + 1 for first, last in runs)
            yield f"  {sentence(self._wording.say(overview.BEYOND, count, bars=bars))}"

    def _overview(self) -> str:
        """Where the hand is away from first position; a piece may begin there."""
        plan, wording = self._plan, self._wording
        visits = [proposal.excursion for proposal in self._part.review.planned.proposals]
        if not visits:
            if bars_beyond(plan):
                return wording.say(overview.REST_IN_FIRST)
            return " ".join([wording.say(overview.STAY_THROUGHOUT), *stretched_words(wording, plan)])
        said = list[str]()
        if plan.begins_with(visits[0]):
            first = visits.pop(0)
            position = position_words(wording, first.positions[0])
            said.append(wording.say(overview.BEGIN_AWAY, position=position, bars=self._bars(first)))
        if visits:
            bars = ranges_words(wording, plan, [(visit.first, visit.last) for visit in visits])
            said.append(wording.say(overview.PASSAGES_LATER if said else overview.PASSAGES, bars=bars))
        return " ".join(said)

    def _visit(self, number: int, explained: ExplainedProposal) -> Iterator[str]:
        plan, wording, part = self._plan, self._wording, self._part
        excursion = explained.proposal.excursion
        yield f"  {number}. {sentence(self._title(excursion)).rstrip('.')}"
        reasons = why(wording, part.review.planned, explained.proposal)
        yield from self._lines(overview.WHY_LABEL, [reasons] if reasons else [])
        yield from self._lines(overview.SHIFT_LABEL, shift_sentences(wording, plan, excursion))
        yield from self._lines(overview.LISTEN_LABEL, [self._listen(number, each) for each in explained.listen])
        yield from self._lines(overview.HAND_LABEL, self._hand(number, explained))
        others = ways_compared(explained) if part.explain else near_ways(plan, explained)
        ways = [way_sentence(wording, plan, excursion, other, part.explain) for other in others]
        yield from self._lines(overview.OR_LABEL, ways)
        if part.explain:
            yield from self._lines(overview.EFFORT_LABEL, [sentence(saving_words(wording, explained.saving))])

    def _title(self, excursion: Excursion) -> str:
        positions = positions_words(self._wording, excursion.positions)
        return self._wording.say(excursions.VISIT, bars=self._bars(excursion), positions=positions)

    def _bars(self, excursion: Excursion) -> str:
        return bars_words(self._wording, self._plan, excursion.first, excursion.last)

    def _listen(self, number: int, anchor: AnchorHelp) -> str:
        """The note to listen for; one that was told before is only named."""
        instrument = self._part.passage.instrument
        before = self._listened.setdefault(anchor, number)
        if before == number:
            return listen_sentence(self._wording, instrument, anchor)
        string = string_words(self._wording, instrument, anchor.string)
        told = self._wording.say(
            overview.AS_BEFORE, note=self._wording.note(anchor.pitch), string=string, number=str(before)
        )
        return sentence(told)

    def _hand(self, number: int, explained: ExplainedProposal) -> list[str]:
        """What the hand looks like; if it looks as it did before, only that is said."""
        said = hand_sentences(self._wording, self._part.passage, explained.patterns)
        before = self._hands.setdefault(tuple(said), number)
        return said if before == number else [sentence(self._wording.say(overview.HAND_AS_BEFORE, number=str(before)))]

    def _asked(self) -> list[str]:
        """Excursions that nobody proposes: marks or the player ask for them."""
        proposed = {proposal.excursion for proposal in self._part.review.planned.proposals}
        return [
            sentence(
                self._wording.say(
                    overview.ALSO_ASKED,
                    bars=self._bars(excursion),
                    positions=positions_words(self._wording, excursion.positions),
                )
            )
            for excursion in self._plan.excursions
            if excursion not in proposed
        ]

    def _unmet(self) -> list[str]:
        return [
            f"{sentence(place_words(self._wording, self._plan, violation.event)).rstrip('.')}: "
            f"{violation_sentence(self._wording, self._plan, violation)}"
            for violation in self._part.unmet
        ]

    def _section(self, title: Message, texts: list[str]) -> Iterator[str]:
        if texts:
            yield ""
            yield f"  {self._wording.say(title)}"
            yield from (f"    {text}" for text in texts)

    def _lines(self, label: Message, texts: list[str]) -> Iterator[str]:
        """A label with its lines, one below the other."""
        heads = [self._wording.say(label), *[""] * len(texts)]
        yield from (f"{' ' * _INDENT}{head:<{_LABEL}}{text}" for head, text in zip(heads, texts, strict=False))


def level_words(wording: Wording, level: Level) -> str:
    """Return "first and third position"; the positions one by one if they were chosen so."""
    if level.positions == LEVELS[level.name].positions:
        return wording.say(LEVEL_WORDS[level.name])
    return wording.all_of([position_words(wording, position) for position in sorted(level.positions)])


def _broken(line: str) -> list[str]:
    """A long line in several, indented like its text; a label stands alone on the left."""
    indent = len(line) - len(line.lstrip())
    if indent == _INDENT:
        indent += _LABEL
    return textwrap.wrap(
        line, COLUMNS, subsequent_indent=" " * indent, break_long_words=False, break_on_hyphens=False
    ) or [""]


def _texts(choices: list[Choice], *, beyond: bool) -> list[str]:
    return [choice.text for choice in choices if choice.beyond is beyond]
