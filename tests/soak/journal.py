"""A journal of the long tests, so that a run that was cut off goes on where it was.

One line a file, in `build/soak`. It holds for one state of the program: a changed program begins anew. What failed is
not written down, so it is tried again.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator
from hashlib import sha256
from pathlib import Path

from tests.conftest import ROOT


def program_state(root: Path = ROOT) -> str:
    """Return what tells one state of the program from another: a digest of all its modules."""
    digest = sha256()
    for path in sorted(path for folder in ("rules", "service") for path in (root / folder).rglob("*.py")):
        digest.update(path.relative_to(root).as_posix().encode() + b"\0" + path.read_bytes() + b"\0")
    return digest.hexdigest()


class Journal:
    """The outcomes that are known already, by the name of the file."""

    def __init__(self, path: Path, state: str) -> None:
        self._path = path
        path.parent.mkdir(parents=True, exist_ok=True)
        lines = path.read_text(encoding="utf-8").splitlines() if path.exists() else []
        self._known: dict[str, str] = dict(_entries(lines[1:])) if lines[:1] == [state] else {}
        path.write_text("".join(f"{line}\n" for line in (state, *map(_line, self._known.items()))), encoding="utf-8")

    def outcomes(self, paths: Iterable[Path], trial: Callable[[Path], str]) -> Iterator[tuple[Path, str]]:
        """Yield the outcome of every file; a failed law is an outcome too, and is not kept."""
        with self._path.open("a", encoding="utf-8") as file:
            for path in paths:
                outcome = self._known.get(str(path))
                if outcome is None:
                    try:
                        outcome = trial(path)
                    except Exception as fault:  # one bad file must not hide the others
                        yield path, f"FAILED: {type(fault).__name__}: {fault}"
                        continue
                    file.write(_line((str(path), outcome)) + "\n")
                    file.flush()
                yield path, outcome


def _line(entry: tuple[str, str]) -> str:
    return json.dumps(entry)


def _entries(lines: Iterable[str]) -> Iterator[tuple[str, str]]:
    """The entries that are whole: the last line may have been cut off."""
    for line in lines:
        try:
            path, outcome = json.loads(line)
        except ValueError:
            continue
        yield path, outcome
