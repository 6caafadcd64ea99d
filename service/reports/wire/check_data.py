"""The findings of a check as plain data for JSON, and the schema that a reader of them can rely on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ...usecases.check import CheckedFile, CheckedPart

VERSION = "1"


def check_data(parts: Iterable[CheckedPart]) -> list[dict[str, Any]]:
    """Return the findings of every part, with place in the text, fingerprint, and why one does not count."""
    return [
        {
            "part": part.id,
            "name": part.name,
            "level": part.level,
            "level_needed": part.needed,
            "bars": part.bars,
            "notes": part.notes,
            "findings": [asdict(found) | {"counts": found.counts} for found in part.findings],
            "hardest": [{"bar": bar, "effort_per_second": effort} for bar, effort in part.hardest],
        }
        for part in parts
    ]


def fault_data(file: CheckedFile) -> dict[str, Any]:
    """Return a file that could not be checked."""
    code, message = file.fault or ("", "")
    return {"file": file.name, "error": {"code": code, "message": message}}


_TEXT = {"type": "string"}
_COUNT = {"type": "integer", "minimum": 0}
_PLACE_IN_TEXT = {"type": ["integer", "null"], "minimum": 1}


def _closed(**properties: Any) -> dict[str, Any]:
    return {
        "type": "object",
        "additionalProperties": False,
        "required": sorted(properties),
        "properties": dict(sorted(properties.items())),
    }


def check_schema() -> dict[str, Any]:
    """Return the JSON schema (draft 2020-12) of the value of `check` for one file."""
    finding = _closed(
        rule=_TEXT,
        outcome=_TEXT,
        severity={"enum": ["note", "warning", "error"]},
        message=_TEXT,
        first_bar=_TEXT,
        last_bar=_TEXT,
        beat=_TEXT,
        notes=_TEXT,
        proposal={"type": ["integer", "null"], "minimum": 1},
        fingerprint={"type": "string", "pattern": "^[0-9a-f]{20}$"},
        line=_PLACE_IN_TEXT,
        column=_PLACE_IN_TEXT,
        exempted=_TEXT,
        known={"type": "boolean"},
        counts={"type": "boolean"},
    )
    part = _closed(
        part=_TEXT,
        name=_TEXT,
        level=_TEXT,
        level_needed=_TEXT,
        bars=_COUNT,
        notes=_COUNT,
        findings={"type": "array", "items": finding},
        hardest={"type": "array", "items": _closed(bar=_TEXT, effort_per_second={"type": "number"})},
    )
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"handframe: the check of one file, version {VERSION}",
        "type": "array",
        "items": part,
    }


__all__ = ["VERSION", "check_data", "check_schema", "fault_data"]
