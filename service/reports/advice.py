"""Sentences about a proposal: the anchor by ear, the shape of the hand, other ways."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rules import (
    HOME_POSITION,
    LETTERS,
    Alternative,
    AlternativeKind,
    AnchorHelp,
    Aspect,
    Constraint,
    ConstraintKind,
    ConstraintViolation,
    Excursion,
    FingerPattern,
    Instrument,
    Pin,
    Plan,
    Shift,
    ViolationCause,
)

from ..naming import finger_name, pitch_name, position_name
from .sentences import count, place

_FIGURES = (
    ("unreachable", "note out of reach", "notes out of reach"),
    ("shifts", "shift", "shifts"),
    ("crossings", "string crossing", "string crossings"),
    ("skips", "skip over a string", "skips over a string"),
    ("held_weak", "weak held note", "weak held notes"),
    ("stretches", "stretched finger", "stretched fingers"),
    ("hops", "hop of a finger", "hops of a finger"),
    ("slides", "slide of a finger", "slides of a finger"),
)
LEAST_SAVING = 0.5
"""Savings below this effort are not mentioned: a third of a string crossing."""


def anchor_how(instrument: Instrument, anchor: AnchorHelp) -> str:
    """Return how to find an anchor by ear: climb in first position, the same pitch with the first finger, a check."""
    name, string = pitch_name(anchor.pitch), instrument.string_name(anchor.string)
    climb = ", ".join(pitch_name(pitch) for pitch in anchor.climb)
    if anchor.known.is_open:
        start = f"Play the open {instrument.string_name(anchor.known.string)}"
    else:
        start = f"In first position climb {climb} from the open string"
        start += f" and listen to {pitch_name(anchor.climb[-1])} ({finger_name(anchor.known.finger)})"
    if anchor.octave_below:
        same = f"the first finger on {string} takes {name}, {_higher(anchor)}"
    else:
        same = f"the first finger on {string} takes the same {name}"
    check = ""
    if anchor.rings_with is not None:
        other = f"open {instrument.string_name(anchor.rings_with)}"
        check = f"; it rings with the {other}, {_octaves(anchor.octaves)}"
    return f"{start}; {same} in {position_name(anchor.position)}{check}."


def _higher(anchor: AnchorHelp) -> str:
    octaves = (anchor.pitch.letter - anchor.climb[-1].letter) // len(LETTERS)
    return "an octave higher" if octaves == 1 else f"{count(octaves, 'octave')} higher"


def _octaves(octaves: int) -> str:
    if octaves == 0:
        return "the same pitch"
    distance = "an octave" if abs(octaves) == 1 else f"{count(abs(octaves), 'octave')}"
    return f"{distance} {'below' if octaves > 0 else 'above'}"


def pattern_text(instrument: Instrument, pattern: FingerPattern) -> str:
    """Return where the half steps lie: "on D half step 2-3 (G4, A4, B♭4, C5)"."""
    halves = " and ".join(f"{low}-{high}" for low, high in pattern.half_steps)
    shape = f"half step {halves}" if halves else "whole steps throughout"
    shape += "".join(f", wide {low}-{high}" for low, high in pattern.wide_steps)
    notes = ", ".join(pitch_name(pitch) for pitch in pattern.places.values())
    text = f"on {instrument.string_name(pattern.string)} {shape} ({notes})"
    if pattern.changing:
        fingers = " and ".join(finger_name(finger) for finger in sorted(pattern.changing))
        text += f", the {fingers} both low and high"
    return text


def alternative_label(excursion: Excursion, other: Alternative) -> str:
    """Return how an alternative differs: "stay in first position", "2nd position", "start in 3rd position"."""
    if other.kind is AlternativeKind.STAY:
        return "stay in first position"
    names = ", ".join(dict.fromkeys(position_name(position) for position in other.positions))
    if other.kind is AlternativeKind.POSITION:
        return names
    new, missing = _moved(excursion, other)
    if missing and not new and all(shift in (excursion.shifts[0], excursion.shifts[-1]) for shift in missing):
        starts = [f"start in {position_name(shift.goal)}" for shift in missing if shift.goal != HOME_POSITION]
        stays = [f"stay in {position_name(shift.start)} afterwards" for shift in missing if shift.goal == HOME_POSITION]
        return " and ".join([*starts, *stays])
    return f"{names}, but shift elsewhere"


def alternative_text(plan: Plan, excursion: Excursion, other: Alternative) -> str:
    """Return another way with its figures beside those of the proposal, and what it costs more."""
    changes = [
        f"{count(theirs, one, many)} instead of {_number(ours)}"
        for name, one, many in _FIGURES
        if (theirs := getattr(other.figures, name)) != (ours := getattr(other.proposed, name))
    ]
    details = "; ".join([*_where(plan, excursion, other), ", ".join(changes) or "alike in these figures"])
    label = alternative_label(excursion, other)
    return f"{label[0].upper()}{label[1:]}: {details}; {_effort(other.rise)}."


def _number(number: int) -> str:
    return count(number, "").split()[0] if number else "none"


def _where(plan: Plan, excursion: Excursion, other: Alternative) -> list[str]:
    """The shifts that the proposal does not have, and those that are left out."""
    if other.kind is not AlternativeKind.PLACE:
        return []
    new, missing = ([_shift_place(plan, shift) for shift in shifts] for shifts in _moved(excursion, other))
    if new:
        return ["shift at " + " and at ".join(new)]
    return ["no shift at " + " or at ".join(missing)] if missing else []


def _moved(excursion: Excursion, other: Alternative) -> tuple[list[Shift], list[Shift]]:
    """Shifts that only the other way has, and shifts that only the proposal has."""
    own = {(shift.arrival, shift.goal): shift for shift in excursion.shifts}
    theirs = {(shift.arrival, shift.goal): shift for shift in other.shifts}
    new = [shift for key, shift in theirs.items() if key not in own]
    return new, [shift for key, shift in own.items() if key not in theirs]


def _shift_place(plan: Plan, shift: Shift) -> str:
    return f"{place(plan, shift.arrival)} to {position_name(shift.goal)}"


def _effort(rise: float) -> str:
    return "about the same effort" if rise < 0.05 else f"effort {rise:+.1f}"


def saving_text(saving: Mapping[Aspect, float]) -> str:
    """Return what an excursion saves and costs: "saves effort in crossings (6.3), at a cost in shifting (2.5)"."""
    gains = [(a, v) for a, v in saving.items() if v >= LEAST_SAVING]
    costs = [(a, -v) for a, v in saving.items() if -v >= LEAST_SAVING]
    pieces = []
    if gains:
        pieces.append("saves effort in " + _aspects(gains))
    if costs:
        pieces.append(("at a cost in " if gains else "costs effort in ") + _aspects(costs))
    return ", ".join(pieces)


def _aspects(items: Sequence[tuple[Aspect, float]]) -> str:
    ranked = sorted(items, key=lambda item: -item[1])
    return " and ".join(f"{aspect.value} ({value:.1f})" for aspect, value in ranked)


_KIND_NAMES = {
    ConstraintKind.FINGER: "finger",
    ConstraintKind.STRING: "string",
    ConstraintKind.POSITION: "position",
    ConstraintKind.STAY: "staying in place",
}


def unmet_text(plan: Plan, unmet: ConstraintViolation) -> str:
    """Return what was asked for, that it is not kept, and why: "finger 2 asked for, 3 on A taken: …"."""
    fingered, instrument = plan.by_note[unmet.note], plan.passage.instrument
    asked = _asked(instrument, unmet.constraint)
    broken = " and ".join(_KIND_NAMES[kind] for kind in unmet.kinds) or "note"
    taken = "left out"
    if fingered.stop is not None:
        string = instrument.string_name(fingered.stop.string)
        taken = f"taken with the {finger_name(fingered.stop.finger)} on {string}"
        if fingered.stop.is_open:
            taken = f"taken on the open {string}"
    return f"{asked} cannot be kept ({broken}): {_cause(plan, unmet)}; {taken}"


def _asked(instrument: Instrument, constraint: Constraint) -> str:
    pieces = []
    if constraint.fingers is not None:
        pieces.append("finger " + " or ".join(str(finger) for finger in sorted(constraint.fingers)))
    if constraint.strings is not None:
        names = " or ".join(instrument.string_name(string) for string in sorted(constraint.strings))
        pieces.append(f"the {names} string")
    if constraint.positions is not None:
        pieces.append(" or ".join(position_name(position) for position in sorted(constraint.positions)))
    if constraint.stay:
        pieces.append("staying in place")
    return ", ".join(pieces)


def _cause(plan: Plan, unmet: ConstraintViolation) -> str:
    pitch = pitch_name(plan.by_note[unmet.note].note.pitch)
    if unmet.cause is ViolationCause.NO_NOTE:
        return f"{pitch} lies outside the instrument"
    if unmet.cause is ViolationCause.NO_STOP:
        return f"{pitch} is not found there"
    if unmet.cause is ViolationCause.AT_ODDS:
        return f"for {pitch} the one excludes the other"
    if unmet.cause is ViolationCause.CHORD:
        others = " and ".join(pitch_name(plan.by_note[note].note.pitch) for note in unmet.against)
        return f"not in one hand with {others}"
    return "other decisions stand against it"


def pin_text(part: str, pin: Pin) -> str:
    """Return a pin as the option `pin` reads it: "P1@n57:finger=2,string=3,position=3"."""
    constraint = pin.constraint
    named = (("finger", constraint.fingers), ("string", constraint.strings), ("position", constraint.positions))
    decision = ",".join(f"{name}={min(values)}" for name, values in named if values)
    return f"{part}@n{pin.row}:{decision}"
