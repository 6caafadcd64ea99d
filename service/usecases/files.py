"""Files as the commands read and write them: `-` is the standard stream, and nobody ever sees half a file."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from ..errors import ScoreError


def read_file(name: str) -> bytes:
    """Return what is in a file, or on standard input."""
    return sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()


def write_file(name: str, data: bytes) -> None:
    """Write a file whole or not at all, or to standard output."""
    if name == "-":
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()
        return
    with whole_file(Path(name)) as file:
        file.write(data)


def check_ending(name: str, data: bytes) -> None:
    """Refuse to write a compressed score under the name of a plain one, or the other way round.

    Raises:
        ScoreError: `ending-does-not-fit`.
    """
    compressed, ending = data[:2] == b"PK", Path(name).suffix.lower()
    if ending not in ((".musicxml", ".xml") if compressed else (".mxl",)):
        return
    kind, other = ("compressed", ".mxl") if compressed else ("not compressed", ".musicxml")
    raise ScoreError(
        "ending-does-not-fit",
        f"The score is {kind} and stays so, but {name} is the name of another kind of file.",
        f"Give the output a name that ends in {other}.",
    )


@contextmanager
def whole_file(target: Path) -> Iterator[BinaryIO]:
    """Open a file that is there as soon as all of it is, not even after a crash before; a failure leaves none."""
    partial = target.with_name(f".{target.name}.part")
    try:
        with partial.open("wb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        partial.replace(target)
    finally:
        partial.unlink(missing_ok=True)
