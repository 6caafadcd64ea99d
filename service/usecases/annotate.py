"""Annotate and review a score: bytes in, answer out.

Every answer is verified: cleaned again it must equal the input, or nothing is returned.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from rules import (
    INSTRUMENTS,
    NO_DECISIONS,
    ConstraintViolation,
    Decisions,
    PartMemory,
    Passage,
    Pin,
    Review,
    Rule,
    constraint_violations,
    decisions_with_pins,
    printed_decisions,
    review_passage,
)

from .. import errors
from ..config.file_limits import DEFAULT_LIMITS, Limits
from ..config.options import Options, PrintedMarks
from ..config.pins import PinText
from ..errors import said
from ..musicxml.file.container import Document
from ..musicxml.file.elements import Mark
from ..musicxml.formats.abc.file import AbcSource
from ..musicxml.formats.known_formats import ABC
from ..musicxml.notation.part_list import PartListing, choose_parts
from ..musicxml.notation.title import composer_of, title_of
from ..musicxml.read.reader import Reading, read_part
from ..musicxml.write.marks import Printing, marks_for
from ..musicxml.write.splice import insert
from ..musicxml.write.verify import verify
from ..naming import Language
from .clean import clean
from .scores import OpenedScore, open_scores


@dataclass(frozen=True)
class PartReview:
    """One part: what was read, the review, the decisions that could not be kept, title and composer of the piece."""

    reading: Reading
    review: Review
    unmet: tuple[ConstraintViolation, ...]
    remarks: tuple[str, ...]
    explain: bool = False
    language: Language = Language.BRITISH
    title: str = ""
    composer: str = ""

    @property
    def passage(self) -> Passage:
        """The part."""
        return self.reading.passage


@dataclass(frozen=True)
class AnnotatedScore:
    """A marked score with what was found on the way.

    Attributes:
        data: the file to give back.
        text: its XML as `Document.rebuild` takes it.
        kind: "xml", "mxl" or "abc".
        document: the score without the marks.
        parts: the review of every chosen part.
        remarks: what is to be said of the file as a whole.
    """

    data: bytes
    text: bytes
    kind: str
    document: Document
    parts: tuple[PartReview, ...]
    remarks: tuple[str, ...]


def annotate(
    data: bytes,
    options: Options,
    limits: Limits = DEFAULT_LIMITS,
    rules: Sequence[Rule] | None = None,
    name: str = "",
) -> AnnotatedScore:
    """Return the score with marks for every chosen part.

    What came in another format comes back as MusicXML, ABC also as ABC (`options.notation`). `name` is what the file is
    called; its ending tells formats that their content does not.

    Raises:
        ScoreError: the score cannot be read, has no such part, or an option does not fit it.
    """
    scores = open_scores(data, options, limits, name, every=False)
    if options.notation == ABC.name:
        return _as_abc(scores, options, rules)
    if len(scores) > 1:
        raise errors.several_scores(len(scores))
    (score,) = scores
    document = score.document
    parts = review_document(document, options, rules)
    marks = _marks(parts, options)
    marked = insert(document.working, marks, document.note_starts)
    verify(document, marked, marks)
    return AnnotatedScore(document.rebuild(marked), marked, document.kind, document, parts, score.remarks)


def _as_abc(scores: Sequence[OpenedScore], options: Options, rules: Sequence[Rule] | None) -> AnnotatedScore:
    from ..musicxml.formats.abc.marks import mark_abc

    if options.printed is PrintedMarks.REPLACE:
        raise errors.bad_option("printed", "replace", said("keep or ignore: in ABC no printed fingering is taken out"))
    found: list[PartReview] = []
    marked: list[tuple[AbcSource, list[Mark]]] = []
    for score in scores:
        if score.abc is None:
            raise errors.not_from_abc()
        parts = review_document(score.document, options, rules, _said_of_abc(score))
        marked.append((score.abc, _marks(parts, options)))
        found += parts
    first = scores[0]
    data = mark_abc(marked[0][0].file, marked)
    remarks = _said_of_abc(first) if len(scores) == 1 else ()
    return AnnotatedScore(data, data, ABC.name, first.document, tuple(found), remarks)


def _said_of_abc(score: OpenedScore) -> tuple[str, ...]:
    """What is to be said of a tune that stays ABC."""
    return tuple(remark for remark in score.remarks if remark != ABC.remark)


def _marks(parts: Sequence[PartReview], options: Options) -> list[Mark]:
    marks: list[Mark] = []
    for part in parts:
        reading = part.reading
        bars = options.measures
        measures = None if bars is None else bar_range(part.passage, "measures", bars)
        marks.extend(marks_for(part.review.plan, reading.places, printing_of(options, measures), reading.outdated))
    return marks


def review_score(
    data: bytes,
    options: Options,
    limits: Limits = DEFAULT_LIMITS,
    rules: Sequence[Rule] | None = None,
    name: str = "",
) -> tuple[PartReview, ...]:
    """Return the review of every chosen part, in every tune of a collection; earlier marks are taken out first.

    Raises:
        ScoreError: as for `annotate`.
    """
    found: list[PartReview] = []
    for score in open_scores(data, options, limits, name):
        found += review_document(score.document, options, rules, score.remarks)
    return tuple(found)


def review_document(
    document: Document,
    options: Options,
    rules: Sequence[Rule] | None = None,
    remarks: Sequence[str] = (),
    listings: Sequence[PartListing] | None = None,
) -> tuple[PartReview, ...]:
    """Return the review of every chosen part of an opened score, or of `listings`, each for its own instrument.

    The first one carries the remarks on the file.
    """
    found = []
    for listing in choose_parts(document.root, options.instrument, options.part) if listings is None else listings:
        own = options
        if listings is not None and listing.instrument:
            own = options.model_copy(update={"instrument": listing.instrument})
        reading, said_of_part = read_listed(document, listing, own)
        review = review_reading(reading, options, rules, (*remarks, *said_of_part))
        found.append(replace(review, title=title_of(document.root), composer=composer_of(document.root)))
        remarks = ()
    return tuple(found)


def read_listed(document: Document, listing: PartListing, options: Options) -> tuple[Reading, tuple[str, ...]]:
    """Return a part as it is read, and what is to be said of it."""
    reading = read_part(
        document.root,
        listing.id,
        INSTRUMENTS[options.instrument],
        tempo=options.tempo,
        replace=options.printed is PrintedMarks.REPLACE,
        text_of_note=document.text_of_note,
    )
    return reading, ((listing.remark,) if listing.remark else ()) + reading.passage.remarks


def review_reading(
    reading: Reading,
    options: Options,
    rules: Sequence[Rule] | None = None,
    remarks: tuple[str, ...] = (),
    memory: PartMemory | None = None,
) -> PartReview:
    """Return the review of a part that was read; `memory` is that of earlier plans of it."""
    decisions = decisions_for(reading.passage, options)
    weights = options.hand.weights
    done = review_passage(reading.passage, options.playing_level, decisions, options.character, rules, weights, memory)
    violations = constraint_violations(done.plan, decisions)
    return PartReview(reading, done, violations, remarks, options.explain, options.language)


def decisions_for(passage: Passage, options: Options) -> Decisions:
    """Return what binds the plan: printed marks if they are kept, and the player's pins."""
    base = printed_decisions(passage) if options.printed is PrintedMarks.KEEP else {}
    rows = sum(1 for note in passage.notes if note.row is not None) if options.pin else 0
    pins = [_pin(passage, pin, rows) for pin in options.pin if pin.part in (None, passage.part, passage.name)]
    return decisions_with_pins(passage, pins, base) if pins else base or NO_DECISIONS


def _pin(passage: Passage, pin: PinText, rows: int) -> Pin:
    if pin.bars is None:
        if pin.row is None or pin.row >= rows:
            raise errors.bad_option(
                "pin", pin.text, said("a row of the plan, from n0 to n{rows}", rows=max(rows - 1, 0))
            )
        return Pin(pin.constraint, row=pin.row)
    return Pin(pin.constraint, measures=bar_range(passage, "pin", pin.bars))


def bar_range(passage: Passage, option: str, bars: tuple[str, str]) -> tuple[int, int]:
    """Return the indices of the first measure labelled with the first bar and the last labelled with the second.

    Raises:
        ScoreError: `unknown-bar`, if the part has no such bar or the range runs backwards.
    """
    labels = [measure.label for measure in passage.measures]
    for bar in bars:
        if bar not in labels:
            raise errors.unknown_bar(
                option, bar, passage.part, labels[0] if labels else "", labels[-1] if labels else ""
            )
    first, last = labels.index(bars[0]), len(labels) - 1 - labels[::-1].index(bars[1])
    if last < first:
        raise errors.bad_option(option, "-".join(bars), said("the earlier bar first"))
    return first, last


def printing_of(options: Options, measures: tuple[int, int] | None = None) -> Printing:
    """Return how marks are printed under these options, in a range of measures (indices, both included) or all."""
    return Printing(
        fingers=options.fingers,
        language=options.marking_language,
        range_lines=options.range_lines,
        shift_lines=options.shift_lines,
        strings=options.strings,
        replace=options.printed is PrintedMarks.REPLACE,
        measures=measures,
    )


__all__ = [
    "AnnotatedScore",
    "PartReview",
    "annotate",
    "bar_range",
    "clean",
    "printing_of",
    "review_document",
    "review_score",
]
