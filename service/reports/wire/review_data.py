"""The review as plain data for JSON; the models in `wire` describe the same shape for clients."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rules import Advised, Explanation, Flag, Placed, Plan, Shift, Unmet

from ... import __version__
from ...naming import beat_text
from ...usecases.annotate import PartReview
from ..advice import unmet_text
from ..sentences import bars, flag_line, proposal_summary, reason_sentence, shift_sentence
from .explanation_data import advised_data, difficulty_data, effort_data


def review_data(parts: Iterable[PartReview]) -> dict[str, Any]:
    """Return the whole answer of a review."""
    return {"version": __version__, "parts": [_part(part) for part in parts]}


def _part(part: PartReview) -> dict[str, Any]:
    plan, review = part.review.plan, part.review
    return {
        "part": part.passage.part,
        "name": part.passage.name,
        "instrument": part.passage.instrument.name,
        "level": plan.level.name,
        "level_needed": {
            "level": review.need.level.name,
            "measures": _labels(plan, review.need.forced_by),
            "unplayable_measures": _labels(plan, review.need.unplayable),
        },
        "counts": review.counts.as_mapping(),
        "findings": [finding_data(plan, flag) for flag in review.flags],
        "proposals": [_proposal(review.explanation, n, a) for n, a in enumerate(review.explanation.advised, start=1)],
        "difficulty": difficulty_data(review.explanation),
        "unmet": [_unmet(plan, unmet) for unmet in part.unmet],
        "remarks": list(part.remarks),
        "plan": [_row(part, placed) for placed in plan.rows],
    }


def _labels(plan: Plan, events: Iterable[int]) -> list[str]:
    return list(dict.fromkeys(plan.passage.label(plan.event(event)) for event in events))


def _place(plan: Plan, event: int) -> dict[str, Any]:
    where = plan.event(event)
    rows = [note.row for note in where.notes if note.row is not None]
    return {
        "measure": plan.passage.label(where),
        "measure_index": where.measure,
        "beat": beat_text(where.beat),
        "rows": sorted(rows),
    }


def finding_data(plan: Plan, flag: Flag) -> dict[str, Any]:
    """Return one finding."""
    finding = flag.finding
    return {
        "rule": finding.rule,
        "outcome": finding.outcome,
        "severity": flag.severity.word,
        "message": flag.sentence,
        "text": flag_line(plan, flag),
        "first": _place(plan, finding.first),
        "last": _place(plan, finding.last),
        "notes": list(finding.notes),
        "facts": dict(finding.facts),
        "proposal": None if flag.answered_by is None else flag.answered_by + 1,
    }


def _proposal(explanation: Explanation, number: int, advised: Advised) -> dict[str, Any]:
    plan, proposal = explanation.plan, advised.proposal
    excursion = proposal.excursion
    return {
        "number": number,
        "bars": bars(plan, excursion.first, excursion.last),
        "first": _place(plan, excursion.first),
        "last": _place(plan, excursion.last),
        "positions": list(excursion.positions),
        "reasons": [
            {"reason": reason.value, "text": reason_sentence(reason, proposal.before, proposal.after)}
            for reason in proposal.reasons
        ],
        "summary": proposal_summary(plan, proposal),
        "before": proposal.before.as_mapping(),
        "after": proposal.after.as_mapping(),
        "shifts": [_shift(plan, shift) for shift in excursion.shifts],
        **advised_data(explanation, advised),
    }


def _shift(plan: Plan, shift: Shift) -> dict[str, Any]:
    return {
        "departure": _place(plan, shift.departure),
        "arrival": _place(plan, shift.arrival),
        "from_position": shift.start,
        "to_position": shift.goal,
        "kind": shift.kind.value,
        "slurred": shift.slurred,
        "guide_finger": shift.guide,
        "guide_pitch": None if shift.guide_pitch is None else shift.guide_pitch.name,
        "finger": shift.finger,
        "text": shift_sentence(plan, shift),
    }


def _unmet(plan: Plan, unmet: Unmet) -> dict[str, Any]:
    return {
        **_place(plan, unmet.event),
        "note": unmet.note,
        "misses": [miss.value for miss in unmet.misses],
        "why": unmet.why.value,
        "against": list(unmet.against),
        "text": unmet_text(plan, unmet),
    }


def _row(part: PartReview, placed: Placed) -> dict[str, Any]:
    return {
        "index": placed.note.row,
        "id": placed.note.id,
        **stop_data(part.review.plan, placed),
        **({"effort": effort_data(part.review.explanation, placed)} if part.explain else {}),
    }


def stop_data(plan: Plan, placed: Placed) -> dict[str, Any]:
    """Return where a note stands and how it is stopped."""
    event, stop = plan.event(placed.event), placed.stop
    return {
        "measure": plan.passage.label(event),
        "beat": beat_text(event.beat),
        "pitch": placed.note.pitch.name,
        "string": None if stop is None else stop.string,
        "finger": None if stop is None else stop.finger,
        "position": placed.position,
    }
