"""The steps between the fingers that a report tells, measured again from what the fingers play."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

STEPS = re.compile(r"(semitone|whole tone|a wide step) ((?:(?: and )?between \d and \d(?: \(\S+ and [^)]+\))?)+)")
PAIRS = re.compile(r"between (\d) and (\d)(?: \((\S+) and ([^)]+)\))?")


def steps_not_so(told: str, played: Mapping[int, Mapping[str, float]], main: Mapping[int, float]) -> Iterator[str]:
    """The steps between fingers, of their usual notes or of those that are named."""
    for step, pairs in STEPS.findall(told):
        for low, high, first, second in PAIRS.findall(pairs):
            lower, upper = (
                played[int(finger)].get(name) if name else main.get(int(finger))
                for finger, name in ((low, first), (high, second))
            )
            width = None if lower is None or upper is None else upper - lower
            if width is None or {1: "semitone", 2: "whole tone"}.get(width, "a wide step") != step:
                yield f"no {step} between {low} and {high} in {told!r}"
