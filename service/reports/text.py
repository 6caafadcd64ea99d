"""The review as text that a player can play from: bars, notes, fingers, why."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rules import Figures, Plan, Proposal, Severity

from ..annotate import PartReview
from .sentences import (
    count,
    finger_name,
    flag_line,
    notes_at,
    pitch_name,
    place,
    position_name,
    proposal_summary,
    shift_sentence,
)


def text_report(name: str, parts: Iterable[PartReview]) -> str:
    """Return the whole report for one file, lines ended by newlines."""
    lines = [name]
    for part in parts:
        lines.extend(_part(part))
    return "\n".join(lines) + "\n"


def _part(part: PartReview) -> Iterator[str]:
    plan = part.review.plan
    yield ""
    yield f"{part.passage.name or part.passage.part} ({part.passage.instrument.name}), level {plan.level.name}"
    yield f"  {_overview(part)}"
    for remark in part.remarks:
        yield f"  Note on reading: {remark}"
    if part.review.planned.proposals:
        yield ""
        yield "  Proposals"
    for number, proposal in enumerate(part.review.planned.proposals, start=1):
        yield from _proposal(plan, number, proposal)
    left = [f for f in part.review.flags if f.answered_by is None]
    if left:
        yield ""
        yield "  Findings"
        yield from (f"    {f.severity.word:<8}{flag_line(plan, f)} [{f.finding.rule}]" for f in left)
    if part.unmet:
        yield ""
        yield "  Decisions that could not be kept"
        for unmet in part.unmet:
            yield f"    {place(plan, unmet.event)}: {notes_at(plan, unmet.event)}"


def _overview(part: PartReview) -> str:
    review = part.review
    counts = review.counts
    answered = sum(1 for flag in review.flags if flag.answered_by is not None)
    sentence = (
        f"{count(len(part.passage.events), 'event')}; needs level {review.need.level.name}; "
        f"{count(len(review.planned.proposals), 'proposal')} answering {count(answered, 'finding')}; as planned "
        f"{_figures(counts)}."
    )
    return sentence[0].upper() + sentence[1:]


def _figures(figures: Figures) -> str:
    return (
        f"{count(figures.shifts, 'shift')}, {count(figures.crossings, 'crossing')}, {count(figures.skips, 'skip')}, "
        f"{count(figures.held_weak, 'weak held note')}"
    )


def _proposal(plan: Plan, number: int, proposal: Proposal) -> Iterator[str]:
    yield f"  {number}. {proposal_summary(plan, proposal)}"
    excursion = proposal.excursion
    if not any(shift.arrival == excursion.first for shift in excursion.shifts):
        grip = plan.grip(excursion.first)
        if grip is not None:
            yield f"     Start in {position_name(grip.position)} at {place(plan, excursion.first)}."
    for shift in excursion.shifts:
        yield f"     Shift, {shift_sentence(plan, shift)}."
    yield f"     Anchor: {_anchors(plan, proposal)}."
    yield f"     Fingers: {_fingers(plan, proposal)}"


def _anchors(plan: Plan, proposal: Proposal) -> str:
    instrument = plan.passage.instrument
    told = []
    for position, strings in proposal.anchors.items():
        notes = ", ".join(f"{pitch_name(p)} on {instrument.string_name(s)}" for s, p in strings.items())
        told.append(f"{position_name(position)}, {finger_name(1)} on {notes}")
    return "; ".join(told) or "none"


def _fingers(plan: Plan, proposal: Proposal) -> str:
    """Every note of the excursion with string and finger, bar lines between."""
    instrument = plan.passage.instrument
    words: list[str] = []
    measure = plan.event(proposal.excursion.first).measure
    for index in range(proposal.excursion.first, proposal.excursion.last + 1):
        event = plan.event(index)
        if event.measure != measure:
            words.append("|")
            measure = event.measure
        stops = []
        for note in event.notes:
            stop = plan.by_note[note.id].stop
            told = f"{instrument.string_name(stop.string)}{stop.finger}" if stop else "-"
            stops.append(f"{pitch_name(note.pitch)} {told}")
        words.append("+".join(stops))
    return ", ".join(words).replace(", |,", " |")


def worst(parts: Iterable[PartReview]) -> Severity | None:
    """Return the highest severity that no proposal answers, over all parts."""
    found = [severity for part in parts if (severity := part.review.worst()) is not None]
    return max(found, default=None)
