"""Sentences about a plan, for the text report, the JSON answer and the page."""

from __future__ import annotations

from rules import Figures, Flag, Plan, Proposal, Reason, Shift, ShiftKind

from ..naming import beat_text, finger_name, pitch_name, position_name

_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def count(number: int, one: str, many: str | None = None) -> str:
    """Return a count in words: "no crossings", "one crossing", "14 crossings"."""
    word = _NUMBERS[number] if number < len(_NUMBERS) else str(number)
    return f"{word} {one if number == 1 else many or one + 's'}"


def place(plan: Plan, event: int) -> str:
    """Return "bar 12, beat 3" for an event."""
    where = plan.event(event)
    return f"bar {plan.passage.label(where)}, beat {beat_text(where.beat)}"


def bars(plan: Plan, first: int, last: int) -> str:
    """Return "bar 12" or "bars 12-14"."""
    start, end = (plan.passage.label(plan.event(index)) for index in (first, last))
    return f"bar {start}" if start == end else f"bars {start}-{end}"


def reason_sentence(reason: Reason, before: Figures, after: Figures) -> str:
    """Return one reason with its figures: "six string crossings become none"."""
    if reason is Reason.REACH:
        return _reach(before.unreachable, after.unreachable)
    if reason is Reason.AGAIN:
        return "the same music is played so elsewhere in the part"
    if reason is Reason.EASE:
        return "no figure falls, but the way as a whole lies easier"
    if reason is Reason.CROSSINGS:
        changes = [
            _change(before.crossings, after.crossings, "string crossing"),
            _change(before.skips, after.skips, "skip over a string", "skips over a string"),
        ]
    elif reason is Reason.TONE:
        one, many = (f"{word} on an open string or the fourth finger" for word in ("held note", "held notes"))
        changes = [_change(before.held_weak, after.held_weak, one, many)]
    else:
        changes = [
            _change(before.stretches, after.stretches, "stretched finger"),
            _change(before.hops, after.hops, "hop of a finger across strings", "hops of a finger across strings"),
            _change(before.slides, after.slides, "slide of a finger", "slides of a finger"),
        ]
    return ", ".join(change for change in changes if change)


def _reach(lacking: int, still: int) -> str:
    text = f"{count(lacking, 'note')} cannot be reached in first position"
    if not still:
        return text
    return f"{text}, {'nor' if still == lacking else f'{still} of them not'} in the other positions of the level"


def _change(before: int, after: int, one: str, many: str | None = None) -> str:
    """Return "six string crossings become none", or nothing where the figure does not fall."""
    if before <= after:
        return ""
    result = "none" if after == 0 else _NUMBERS[after] if after < len(_NUMBERS) else str(after)
    return f"{count(before, one, many)} {'becomes' if before == 1 else 'become'} {result}"


def proposal_summary(plan: Plan, proposal: Proposal) -> str:
    """Return where to go and why, in one sentence."""
    excursion = proposal.excursion
    names = list(dict.fromkeys(position_name(p) for p in excursion.positions))
    reasons = "; ".join(reason_sentence(reason, proposal.before, proposal.after) for reason in proposal.reasons)
    where = bars(plan, excursion.first, excursion.last)
    return f"{where[0].upper()}{where[1:]}: {', '.join(names)}, because {reasons}."


_KINDS = {
    ShiftKind.SAME_FINGER: "on the same finger",
    ShiftKind.GUIDE_FINGER: "led by a guide finger",
    ShiftKind.OPEN_STRING: "while the open string sounds",
    ShiftKind.REST: "over the rest",
    ShiftKind.BOW_CHANGE: "at the bow change",
    ShiftKind.SLUR: "under the slur",
}


def shift_sentence(plan: Plan, shift: Shift) -> str:
    """Return how one shift is made: where, on which note and finger, how the hand travels."""
    start, goal = position_name(shift.start), position_name(shift.goal)
    arrival = _arrival(plan, shift.arrival)
    text = f"{place(plan, shift.arrival)}: from {start} to {goal}, arriving on {arrival}, {_KINDS[shift.kind]}"
    if shift.guide and shift.guide_pitch and shift.kind is ShiftKind.GUIDE_FINGER:
        if shift.guide == shift.finger:
            way = "up" if shift.goal > shift.start else "down"
            text += f" (the {finger_name(shift.guide)} glides {way} to it)"
        else:
            text += f" (the {finger_name(shift.guide)} glides to {pitch_name(shift.guide_pitch)})"
    if shift.slurred and shift.kind is not ShiftKind.SLUR:
        text += ", within a slur"
    return text


def _arrival(plan: Plan, event: int) -> str:
    """Every note of the arrival with its finger: "G4 with the first finger and E5 with the second finger"."""
    stops = []
    for note in plan.event(event).notes:
        stop = plan.by_note[note.id].stop
        if stop is not None:
            how = "on the open string" if stop.is_open else f"with the {finger_name(stop.finger)}"
            stops.append(f"{pitch_name(note.pitch)} {how}")
    return " and ".join(stops)


def flag_line(plan: Plan, flag: Flag) -> str:
    """Return a finding as one line: place, what, and the proposal that answers it."""
    finding = flag.finding
    where = place(plan, finding.first)
    if plan.event(finding.last).measure != plan.event(finding.first).measure:
        where = bars(plan, finding.first, finding.last)
    answered = f" (answered by proposal {flag.answered_by + 1})" if flag.answered_by is not None else ""
    return f"{where}: {flag.sentence}{answered}"
