"""Checks output names: never the input, never another output, and an ending that fits the content."""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Iterable

from ..errors import ScoreError

_KINDS = {
    **dict.fromkeys((".musicxml", ".xml"), "MusicXML"),
    **dict.fromkeys((".html", ".htm"), "a page (HTML)"),
    **dict.fromkeys((".mid", ".midi"), "MIDI"),
    **dict.fromkeys((".jpg", ".jpeg", ".png", ".gif"), "a picture"),
    ".mxl": "compressed MusicXML",
    ".svg": "a drawing (SVG)",
    ".pdf": "PDF",
    ".abc": "ABC",
    ".krn": "Humdrum kern",
    ".mei": "MEI",
    ".mscz": "a score of one program",
    ".sib": "a score of one program",
    ".json": "data (JSON)",
}
KINDS = {"xml": "MusicXML", "mxl": "compressed MusicXML", "abc": "ABC"}
"""What an answer is, by the short name of its kind."""
ABC = KINDS["abc"]
PLAIN, COMPRESSED, PAGE, DRAWING = "MusicXML", "compressed MusicXML", "a page (HTML)", "a drawing (SVG)"
MIDI = "MIDI"


def kind_of_score(data: bytes) -> str:
    """Whether a score is compressed."""
    return COMPRESSED if data[:2] == b"PK" else PLAIN


def name_beside(score: str, added: str, ending: str = "") -> str:
    """Return the name of a file beside a score: `waltz.mxl` with `marked` gives `waltz.marked.mxl`.

    Args:
        score: the name of the score.
        added: a word that tells the two apart.
        ending: with its dot, if it is another than the score's.

    Raises:
        OSError: the name is empty or that of a folder such as `.`.
    """
    folder, name = os.path.split(score)
    if name in ("", "."):
        number = errno.EISDIR if score else errno.ENOENT
        raise OSError(number, os.strerror(number), score)
    stem, own_ending = os.path.splitext(name)
    return os.path.join(folder, f"{stem}.{added}{ending or own_ending}")


def check_ending(name: str, kind: str) -> None:
    """Refuse a name whose ending promises another kind of file than is written.

    Raises:
        ScoreError: `ending-does-not-fit`.
    """
    promised = _KINDS.get(os.path.splitext(name)[1].lower())
    if promised in (None, kind):
        return
    fitting = next(ending for ending, each in _KINDS.items() if each == kind)
    raise ScoreError(
        "ending-does-not-fit",
        f"What is written is {kind}, but {name} is the name of {promised}.",
        f"Give the output a name that ends in {fitting}.",
    )


def check_outputs(outputs: Iterable[str | None], inputs: Iterable[str], in_place: str = "") -> None:
    """Refuse to write over what was read, by whatever name, and to write two things to one file.

    Args:
        outputs: names of what will be written; None for what will not.
        inputs: names of what is read.
        in_place: what else the user can do about it, for commands that can replace their input.

    Raises:
        ScoreError: `output-is-input` or `output-twice`.
    """
    read = {_file_at(name) for name in inputs} - {None}
    seen = set()
    for output in outputs:
        if output is None or output == "-":
            continue
        if not output:
            raise ScoreError("no-output-name", "The name of the output is empty.", "Give the name of a file.")
        if _file_at(output) in read:
            raise ScoreError(
                "output-is-input",
                f"{output} is a file that is read, and its content would be lost.",
                f"Give another name{in_place}.",
            )
        if os.path.exists(output) and _file_at(output) is None:
            continue  # a device or the like takes any number
        place = _file_at(output) or os.path.realpath(output)
        if place in seen:
            raise ScoreError("output-twice", f"Two outputs would be written to {output}.", "Give them two names.")
        seen.add(place)


def _file_at(name: str) -> tuple[int, int] | None:
    """The identity of a file, whatever its name; None for a missing file, a device or a folder."""
    try:
        there = os.stat(0) if name == "-" else os.stat(name)
    except OSError:
        return None
    return (there.st_dev, there.st_ino) if stat.S_ISREG(there.st_mode) else None
