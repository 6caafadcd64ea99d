"""Options that come as JSON in a form: the same names as in a query, lists for what may be repeated."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from .. import errors


def json_object(text: object, name: str) -> Mapping[str, Any]:
    """Return the object that a form field holds; a field that is not there is an empty object.

    Raises:
        ScoreError: `bad-option`, if it is no JSON object.
    """
    if text is None:
        return {}
    try:
        found = json.loads(str(text))
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict):
        raise errors.bad_option(name, str(text)[:40], "a JSON object")
    return found


def option_texts(values: Mapping[str, Any]) -> dict[str, list[str]]:
    """Return options as texts by name, as `read_options` takes them; null leaves an option at its default."""
    return {
        name: [_text(item) for item in (value if isinstance(value, list) else [value])]
        for name, value in values.items()
        if value is not None and value != []
    }


def _text(value: Any) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)
