"""What a run has checked so far, so that a run that was cut off can be taken up again.

A journal is a text file with one line of JSON a score, written as soon as the score is checked. A score that has not
changed since (by size and time of change) is taken from the journal; a journal of another policy, format or version is
refused. Only places in the file are kept in memory, so that a run of any size fits.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from types import TracebackType
from typing import Self

from pydantic import TypeAdapter

from ...errors import ScoreError, said
from .check import CheckedFile

_RESULT = TypeAdapter(CheckedFile)


class Journal:
    """The journal of a run, opened for reading what is there and adding to it.

    Raises:
        ScoreError: `other-journal`, if the file is the journal of another run, or none at all.
    """

    def __init__(self, name: str, run: str) -> None:
        self._name = name
        self._places: dict[str, tuple[int, int, int]] = {}
        new = not Path(name).exists() or not Path(name).stat().st_size
        self._file = open(name, "a+b")  # noqa: SIM115 - closed by __exit__
        if new:
            self._write({"run": run})
            return
        self._file.seek(0)
        end = self._read(run)
        self._file.truncate(end)  # a line that was cut off

    def _read(self, run: str) -> int:
        """Note where each result stands; return the end of the last whole line."""
        end = 0
        for number, line in enumerate(iter(self._file.readline, b"")):
            try:
                if not line.endswith(b"\n"):
                    break
                entry = json.loads(line)
                if number == 0 and entry.get("run") != run:
                    raise self._other()
                if number:
                    self._places[entry["file"]] = (end, entry["size"], entry["changed"])
            except (ValueError, KeyError, AttributeError):
                if number == 0:
                    raise self._other() from None
                break
            end += len(line)
        if not end:
            raise self._other()
        return end

    def _other(self) -> ScoreError:
        self._file.close()
        return ScoreError(
            "other-journal",
            said(
                "{file} is not the journal of this run: its policy, options, format or version differ.", file=self._name
            ),
            said("Name another file, or delete it and begin anew."),
            None,
            400,
        )

    def holds(self, name: str) -> bool:
        """True if there is a result for a score, and the score is as it was."""
        return name in self._places and self._places[name][1:] == _stamp(name)

    def get(self, name: str) -> CheckedFile:
        """Return the result for a score that the journal holds."""
        self._file.seek(self._places[name][0])
        return _RESULT.validate_python(json.loads(self._file.readline())["result"])

    def add(self, result: CheckedFile) -> None:
        """Write one more result down; what could not be read or was given up is tried again the next time."""
        if result.fault is not None or result.name == "-":
            return
        size, changed = _stamp(result.name)
        dumped = _RESULT.dump_python(result, mode="json")
        self._write({"file": result.name, "size": size, "changed": changed, "result": dumped})

    def _write(self, entry: dict[str, object]) -> None:
        self._file.seek(0, os.SEEK_END)
        self._file.write(json.dumps(entry, ensure_ascii=False).encode() + b"\n")
        self._file.flush()

    def __enter__(self) -> Self:
        """Return the journal."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Close the file."""
        self._file.close()


def _stamp(name: str) -> tuple[int, int]:
    try:
        status = os.stat(name)
    except OSError:
        return -1, -1
    return status.st_size, status.st_mtime_ns
