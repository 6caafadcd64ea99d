"""A fingering hand as a text (`shifts=0.7,tone=1.4`) and as a TOML file with a sentence for every scale."""

from __future__ import annotations

import tomllib
from difflib import get_close_matches

from rules import LEAST_SCALE, MOST_SCALE, SCALES, STANDARD_HAND, FingeringHand

from ..errors import ScoreError, Sentence, said
from ..messages.hands import AS_STANDARD, TIMES_STANDARD
from ..messages.message import Message, Wording
from .field_types import TextValue

STANDARD = "standard"
_NAMES = "|".join(SCALES)
_SCALE = rf"({_NAMES})=[0-9]{{1,2}}(\.[0-9]{{1,4}})?"


def read_hand(text: str) -> FingeringHand:
    """Return the hand that a text writes down: `standard`, or scales such as `shifts=0.7,tone=1.4`.

    Raises:
        ValueError: if a scale comes twice or is beyond its limits.
    """
    if text == STANDARD:
        return STANDARD_HAND
    scales: dict[str, float] = {}
    for piece in text.split(","):
        name, _, number = piece.partition("=")
        if name in scales:
            raise ValueError(name)
        scales[name] = float(number)
    return FingeringHand(**scales)


def hand_text(hand: FingeringHand) -> str:
    """Return a hand as a text: the scales that differ from the standard."""
    return ",".join(f"{name}={scale:g}" for name, scale in hand.scales.items() if scale != 1) or STANDARD


HAND = TextValue(
    read_hand,
    hand_text,
    pattern=f"^({STANDARD}|{_SCALE}(,{_SCALE})*)$",
    expected=said(
        "standard, or scales from {least} to {most} such as shifts=0.7,tone=1.4; there are {scales}",
        least=f"{LEAST_SCALE:g}",
        most=f"{MOST_SCALE:g}",
        scales=", ".join(SCALES),
    ),
)


def read_hand_file(text: str, name: str) -> FingeringHand:
    """Return the hand of a TOML file: a table `[hand]` with scales; what it does not name is as in the standard.

    Raises:
        ScoreError: `bad-hand`, naming the file, the key and what is possible.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as fault:
        raise _bad(
            name, said("this is not valid TOML: {reason}", reason=str(fault).rstrip(".")), said("Repair that line.")
        ) from None
    table = data.get("hand")
    if not isinstance(table, dict) or len(data) > 1:
        raise _bad(name, said("a hand is one table [hand]"), said("Write it as `handframe learn` does."))
    for key, value in table.items():
        if key not in SCALES:
            nearest = get_close_matches(key, SCALES, n=1, cutoff=0.5)
            advice = said("There are: {known}.", known=", ".join(SCALES))
            if nearest:
                advice = said("Did you mean {nearest}?", nearest=nearest[0])
            raise _bad(name, said("there is no scale {name}", name=repr(key)), advice)
        if type(value) not in (int, float) or not LEAST_SCALE <= value <= MOST_SCALE:
            advice = said(
                "Write a number from {least} to {most}; 1 is the standard.",
                least=f"{LEAST_SCALE:g}",
                most=f"{MOST_SCALE:g}",
            )
            message = said("{value} is not possible", value=repr(value))
            raise _bad(name, said("{key}: {message}", key=key, message=message), advice)
    return FingeringHand(**{key: float(value) for key, value in table.items()})


def hand_file(hand: FingeringHand, remarks: str, wording: Wording) -> str:
    """Return a hand as TOML: `remarks` as comments at the top, then every scale with a sentence."""
    lines = [f"# {line}".rstrip() for line in remarks.splitlines()]
    lines += ["", "[hand]"]
    for name, about in SCALES.items():
        lines += [f"# {_sentence(wording, about, hand.scales[name])}", f"{name} = {hand.scales[name]:g}"]
    return "\n".join(lines) + "\n"


def _sentence(wording: Wording, about: str, scale: float) -> str:
    what = wording.say(Message(about))
    what = what[:1].upper() + what[1:]
    if scale == 1:
        return wording.say(AS_STANDARD, scale=what)
    return wording.say(TIMES_STANDARD, scale=what, times=wording.number(scale))


def _bad(name: str, message: Sentence, advice: Sentence) -> ScoreError:
    return ScoreError("bad-hand", said("{message}.", message=message), advice, said("hand {file}", file=name), 400)


__all__ = ["HAND", "STANDARD", "hand_file", "hand_text", "read_hand", "read_hand_file"]
