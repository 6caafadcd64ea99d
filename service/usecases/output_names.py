"""Checks output names: never the input, never another output, and an ending that fits the content."""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Iterable

from ..errors import ScoreError, said

_KINDS = {
    **dict.fromkeys((".musicxml", ".xml"), "MusicXML"),
    **dict.fromkeys((".html", ".htm"), said("a page (HTML)")),
    **dict.fromkeys((".mid", ".midi"), "MIDI"),
    **dict.fromkeys((".jpg", ".jpeg", ".png", ".gif"), said("a picture")),
    ".mxl": said("compressed MusicXML"),
    ".svg": said("a drawing (SVG)"),
    ".pdf": "PDF",
    ".abc": "ABC",
    ".krn": "Humdrum kern",
    ".mei": "MEI",
    ".mscz": said("a score of one program"),
    ".sib": said("a score of one program"),
    ".json": said("data (JSON)"),
}
KINDS = {"xml": "MusicXML", "mxl": said("compressed MusicXML"), "abc": "ABC"}
"""What an answer is, by the short name of its kind."""
ABC = KINDS["abc"]
PLAIN, COMPRESSED = "MusicXML", said("compressed MusicXML")
PAGE, DRAWING = said("a page (HTML)"), said("a drawing (SVG)")
MIDI = "MIDI"
_OTHER_NAME = said("Give another name.")


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
        said(
            "What is written is {kind}, but {file} is the name of {promised}.", kind=kind, file=name, promised=promised
        ),
        said("Give the output a name that ends in {ending}.", ending=fitting),
    )


def check_outputs(outputs: Iterable[str | None], inputs: Iterable[str], advice: str = _OTHER_NAME) -> None:
    """Refuse to write over what was read, by whatever name, and to write two things to one file.

    Args:
        outputs: names of what will be written; None for what will not.
        inputs: names of what is read.
        advice: what the user can do about it; a command that can replace its input says so.

    Raises:
        ScoreError: `output-is-input` or `output-twice`.
    """
    read = {_file_at(name) for name in inputs} - {None}
    seen = set()
    for output in outputs:
        if output is None or output == "-":
            continue
        if not output:
            raise ScoreError(
                "no-output-name", said("The name of the output is empty."), said("Give the name of a file.")
            )
        if _file_at(output) in read:
            raise ScoreError(
                "output-is-input",
                said("{file} is a file that is read, and its content would be lost.", file=output),
                advice,
            )
        if os.path.exists(output) and _file_at(output) is None:
            continue  # a device or the like takes any number
        place = _file_at(output) or os.path.realpath(output)
        if place in seen:
            raise ScoreError(
                "output-twice",
                said("Two outputs would be written to {file}.", file=output),
                said("Give them two names."),
            )
        seen.add(place)


def _file_at(name: str) -> tuple[int, int] | None:
    """The identity of a file, whatever its name; None for a missing file, a device or a folder."""
    try:
        there = os.stat(0) if name == "-" else os.stat(name)
    except OSError:
        return None
    return (there.st_dev, there.st_ino) if stat.S_ISREG(there.st_mode) else None
