"""Annotations for pipelines on a code host: one line of its log for each finding that counts, shown beside the file.

The form is that of GitHub Actions (docs.github.com, "Workflow commands"): `::error file=…,line=…,title=…::…`.
A compressed score has no lines, so there the bar alone says where.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from ..messages.findings import SHOWN_AT
from ..messages.message import ENGLISH, Wording
from .passages import to_deal_with

if TYPE_CHECKING:
    from ..usecases.checks.check import CheckedFile

_COMMANDS = {"error": "error", "warning": "warning", "note": "notice"}


def annotation_lines(files: Iterable[CheckedFile], wording: Wording = ENGLISH) -> Iterator[str]:
    """Yield the lines, file by file."""
    for file in files:
        if file.fault is not None:
            yield f"::error file={_property(file.name)}::{_data(file.fault[1])}\n"
        for part in file.parts:
            for each in to_deal_with(part):
                first = each.first
                place = f"file={_property(file.name)}"
                if first.line is not None:
                    place += f",line={first.line}"
                title = _property(wording.say(SHOWN_AT, part=part.name or part.id, bars=each.bars))
                message = _data(f"{each.message(wording)} ({first.notes}) [{first.rule}]")
                yield f"::{_COMMANDS[first.severity]} {place},title={title}::{message}\n"


def _data(text: str) -> str:
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _data(text).replace(":", "%3A").replace(",", "%2C")
