"""Builds the answer of a review from reviewed parts."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rules import ConstraintViolation, ExplainedProposal, FingeredNote, Flag, Plan, Shift, events_beyond

from ... import __version__
from ...messages import findings
from ...messages.message import Wording, sentence
from ...messages.music_words import bars_words, place_words
from ...messages.player import excursions
from ...naming import beat_text
from ...usecases.annotate import PartReview
from ..player.choices import Choice, player_choices
from ..player.other_ways import positions_words
from ..player.reasons import reason_words, why
from ..player.shifts import shift_sentence, with_both_ends
from ..player.violations import violation_sentence
from .explanation_data import alternatives_of, anchors_of, difficulty_of, effort_of, patterns_of, saving_of
from .review_answer import (
    ChoiceAnswer,
    FindingAnswer,
    LevelNeeded,
    PartAnswer,
    Place,
    PlanRow,
    ProposalAnswer,
    Reason,
    ReviewAnswer,
    ShiftAnswer,
    UnmetAnswer,
)


def review_answer(parts: Iterable[PartReview]) -> ReviewAnswer:
    """Return the answer of a review."""
    return ReviewAnswer(version=__version__, parts=[_part(part) for part in parts])


def review_json(parts: Iterable[PartReview], indent: int | None = None) -> bytes:
    """Return the answer of a review as JSON."""
    return review_answer(parts).model_dump_json(indent=indent, exclude_unset=True).encode()


def review_data(parts: Iterable[PartReview]) -> dict[str, Any]:
    """Return the answer of a review as plain data."""
    return review_answer(parts).model_dump(mode="json", exclude_unset=True)


def _part(part: PartReview) -> PartAnswer:
    plan, review, wording = part.review.plan, part.review, Wording(part.language)
    explained = enumerate(review.explanation.proposals, start=1)
    return PartAnswer(
        part=part.passage.part,
        name=part.passage.name,
        instrument=part.passage.instrument.name,
        level=plan.level.name,
        level_needed=LevelNeeded(
            level=review.need.level.name,
            measures=_labels(plan, review.need.forced_by),
            unplayable_measures=_labels(plan, review.need.unplayable),
            because=[demand.value for demand in review.need.demands],
        ),
        beyond_measures=_labels(plan, events_beyond(plan)),
        counts=dict(review.counts.as_mapping()),
        findings=[_finding(wording, plan, flag) for flag in review.flags],
        proposals=[_proposal(wording, part, number, each) for number, each in explained],
        difficulty=difficulty_of(review.explanation),
        unmet=[_unmet(wording, plan, unmet) for unmet in part.unmet],
        choices=[_choice(plan, choice) for choice in player_choices(wording, part)],
        remarks=list(map(wording.text, part.remarks)),
        plan=[_row(part, fingered) for fingered in plan.rows],
    )


def _labels(plan: Plan, events: Iterable[int]) -> list[str]:
    return list(dict.fromkeys(plan.passage.label(plan.event(event)) for event in events))


def _place(plan: Plan, index: int) -> Place:
    event = plan.event(index)
    return Place(
        measure=plan.passage.label(event),
        measure_index=event.measure,
        beat=beat_text(event.beat),
        rows=sorted(note.row for note in event.notes if note.row is not None),
    )


def _finding(wording: Wording, plan: Plan, flag: Flag) -> FindingAnswer:
    finding = flag.finding
    return FindingAnswer(
        rule=finding.rule,
        outcome=finding.outcome,
        severity=flag.severity.word,
        message=wording.text(flag.sentence),
        text=_finding_text(wording, plan, flag),
        first=_place(plan, finding.first),
        last=_place(plan, finding.last),
        notes=list(finding.notes),
        facts=dict(finding.facts),
        proposal=None if flag.answered_by is None else flag.answered_by + 1,
    )


def _finding_text(wording: Wording, plan: Plan, flag: Flag) -> str:
    """Place, what, and the proposal that answers it."""
    first, last = flag.finding.first, flag.finding.last
    one_bar = plan.event(first).measure == plan.event(last).measure
    where = place_words(wording, plan, first) if one_bar else bars_words(wording, plan, first, last)
    text = wording.say(findings.FINDING_AT, where=where, finding=wording.text(flag.sentence))
    if flag.answered_by is None:
        return text
    return wording.say(findings.ANSWERED, finding=text, number=str(flag.answered_by + 1))


def _choice(plan: Plan, choice: Choice) -> ChoiceAnswer:
    return ChoiceAnswer(**dict(_place(plan, choice.event)), text=choice.text, beyond_level=choice.beyond)


def _proposal(wording: Wording, part: PartReview, number: int, explained: ExplainedProposal) -> ProposalAnswer:
    explanation, planned = part.review.explanation, part.review.planned
    plan, proposal = explanation.plan, explained.proposal
    excursion = proposal.excursion
    where = bars_words(wording, plan, excursion.first, excursion.last)
    shifts = [_shift(wording, plan, shift) for shift in excursion.shifts]
    title = wording.say(excursions.VISIT, bars=where, positions=positions_words(wording, excursion.positions))
    return ProposalAnswer(
        number=number,
        bars=where,
        first=_place(plan, excursion.first),
        last=_place(plan, excursion.last),
        positions=list(excursion.positions),
        reasons=[
            Reason(reason=reason.value, text=reason_words(wording, planned, proposal, reason))
            for reason in proposal.reasons
        ],
        summary=f"{sentence(title)} {why(wording, planned, proposal)}".rstrip(),
        before=dict(proposal.before.as_mapping()),
        after=dict(proposal.after.as_mapping()),
        shifts=shifts,
        steps=with_both_ends(wording, plan, excursion, [shift.text for shift in shifts]),
        anchors=anchors_of(wording, explanation, explained),
        patterns=patterns_of(wording, explanation, explained),
        saving=saving_of(wording, explained),
        alternatives=alternatives_of(wording, explanation, explained),
    )


def _shift(wording: Wording, plan: Plan, shift: Shift) -> ShiftAnswer:
    return ShiftAnswer(
        departure=_place(plan, shift.departure),
        arrival=_place(plan, shift.arrival),
        from_position=shift.start,
        to_position=shift.goal,
        kind=shift.kind.value,
        slurred=shift.slurred,
        guide_finger=shift.guide,
        guide_pitch=None if shift.guide_pitch is None else shift.guide_pitch.name,
        finger=shift.finger,
        text=shift_sentence(wording, plan, shift),
    )


def _unmet(wording: Wording, plan: Plan, unmet: ConstraintViolation) -> UnmetAnswer:
    return UnmetAnswer(
        **dict(_place(plan, unmet.event)),
        note=unmet.note,
        misses=[kind.value for kind in unmet.kinds],
        why=unmet.cause.value,
        against=list(unmet.against),
        text=violation_sentence(wording, plan, unmet),
    )


def _row(part: PartReview, fingered: FingeredNote) -> PlanRow:
    row = {"index": fingered.note.row, "id": fingered.note.id, **stop_data(part.review.plan, fingered)}
    if part.explain:
        row["effort"] = effort_of(part.review.explanation, fingered)
    return PlanRow.model_validate(row)


def stop_data(plan: Plan, fingered: FingeredNote) -> dict[str, Any]:
    """Return where a note stands and how it is stopped."""
    event, stop = plan.event(fingered.event), fingered.stop
    return {
        "measure": plan.passage.label(event),
        "beat": beat_text(event.beat),
        "pitch": fingered.note.pitch.name,
        "string": None if stop is None else stop.string,
        "finger": None if stop is None else stop.finger,
        "position": fingered.position,
    }
