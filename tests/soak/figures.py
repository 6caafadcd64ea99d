"""Figures of the long tests: told on the terminal and kept as lines of JSON in build/soak.jsonl."""

from __future__ import annotations

import json
import sys
from pathlib import Path

_FILE = Path(__file__).resolve().parents[2] / "build" / "soak.jsonl"


def tell(name: str, **figures: object) -> None:
    """Tell and keep the figures of one test."""
    line = json.dumps({"test": name, **figures}, ensure_ascii=False)
    _FILE.parent.mkdir(exist_ok=True)
    with _FILE.open("a", encoding="utf-8") as file:
        file.write(line + "\n")
    assert sys.__stdout__ is not None
    sys.__stdout__.write(f"\n{line}\n")
