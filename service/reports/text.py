"""The review as text that a player can play from: bars, notes, fingers, why."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rules import AnchorHelp, ExplainedProposal, Figures, Plan, Proposal, hardest

from ..naming import pitch_name, position_name
from ..usecases.annotate import PartReview
from .advice import alternative_text, anchor_how, pattern_text, unmet_text
from .sentences import count, flag_line, place, proposal_summary, shift_sentence


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
    yield from _hardest(part)
    for remark in part.remarks:
        yield f"  Note on reading: {remark}"
    explanation = part.review.explanation
    if explanation.proposals:
        yield ""
        yield "  Proposals (effort: an ordinary string crossing costs about 1.5, a shift about 3)"
    for number, explained in enumerate(explanation.proposals, start=1):
        yield from _proposal(plan, number, explained)
    left = [f for f in part.review.flags if f.answered_by is None]
    if left:
        yield ""
        yield "  Left to decide"
        yield from (f"    {f.severity.word:<8}{flag_line(plan, f)} [{f.finding.rule}]" for f in left)
    if part.unmet:
        yield ""
        yield "  Decisions that could not be kept"
        for unmet in part.unmet:
            yield f"    {place(plan, unmet.event)}: {unmet_text(plan, unmet)}."


def _overview(part: PartReview) -> str:
    review = part.review
    counts = review.counts
    answered = sum(1 for flag in review.flags if flag.answered_by is not None)
    proposed = count(len(review.planned.proposals), "proposal")
    if review.planned.proposals:
        proposed += f" answering {count(answered, 'finding')}"
    sentence = (
        f"{count(len(part.passage.events), 'event')}; needs level {review.need.level.name}; {proposed}; as planned "
        f"{_figures(counts)}."
    )
    return sentence[0].upper() + sentence[1:]


def _hardest(part: PartReview) -> Iterator[str]:
    """Where to begin practising: the bars that ask most of the left hand at their tempo."""
    measures = part.passage.measures
    labels = [measures[bar.measure].label for bar in hardest(part.review.explanation.curve)]
    if labels:
        yield f"  Hardest for the left hand: {'bars' if len(labels) > 1 else 'bar'} {', '.join(labels)}."


def _figures(figures: Figures) -> str:
    return (
        f"{count(figures.shifts, 'shift')}, {count(figures.crossings, 'crossing')}, {count(figures.skips, 'skip')}, "
        f"{count(figures.held_weak, 'weak held note')}"
    )


def _proposal(plan: Plan, number: int, explained: ExplainedProposal) -> Iterator[str]:
    proposal, instrument = explained.proposal, plan.passage.instrument
    yield f"  {number}. {proposal_summary(plan, proposal)}"
    excursion = proposal.excursion
    if not any(shift.arrival == excursion.first for shift in excursion.shifts):
        grip = plan.grip(excursion.first)
        if grip is not None:
            yield f"     Start in {position_name(grip.position)} at {place(plan, excursion.first)}."
    for shift in excursion.shifts:
        yield f"     Shift, {shift_sentence(plan, shift)}."
    for anchor in _anchors(plan, explained):
        yield f"     By ear: {anchor_how(instrument, anchor)}"
    if explained.patterns:
        yield f"     Hand: {_patterns(plan, explained)}."
    yield f"     Notes, with string and finger: {_fingers(plan, proposal)}"
    for other in explained.alternatives:
        yield f"     Or: {alternative_text(plan, excursion, other)}"


def _anchors(plan: Plan, explained: ExplainedProposal) -> list[AnchorHelp]:
    """One anchor for each position, on the string on which the hand arrives."""
    by_position: dict[int, AnchorHelp] = {}
    arrivals: dict[int, int] = {}
    for span in explained.proposal.excursion.spans:
        grip = plan.grip(span.first)
        if grip is not None:
            arrivals.setdefault(span.position, grip.stops[-1].string)
    for anchor in explained.anchors:
        if anchor.position not in by_position or anchor.string == arrivals.get(anchor.position):
            by_position[anchor.position] = anchor
    return list(by_position.values())


def _patterns(plan: Plan, explained: ExplainedProposal) -> str:
    """The pattern on each string; named with its position where there are several."""
    several = len({pattern.position for pattern in explained.patterns}) > 1
    patterns = {
        (f"{position_name(p.position)}, " if several else "") + pattern_text(plan.passage.instrument, p): None
        for p in explained.patterns
    }
    return "; ".join(patterns)


def _fingers(plan: Plan, proposal: Proposal) -> str:
    """Every note of the excursion with string and finger, bar lines between."""
    instrument = plan.passage.instrument
    words: list[str] = []
    measure = plan.event(proposal.excursion.first).measure
    for index in proposal.excursion.events:
        event = plan.event(index)
        if event.measure != measure:
            words.append("|")
            measure = event.measure
        stops = []
        for note in event.notes:
            stop = plan.by_note[note.id].stop
            text = f"{instrument.string_name(stop.string)}{stop.finger}" if stop else "-"
            stops.append(f"{pitch_name(note.pitch)} ({text})")
        words.append("+".join(stops))
    return ", ".join(words).replace(", |,", " |")
