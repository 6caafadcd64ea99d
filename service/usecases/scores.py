"""A file opened for a use case: in whatever format it comes, what follows is a MusicXML document."""

from __future__ import annotations

from dataclasses import dataclass

from ..config.file_limits import Limits
from ..config.options import Options
from ..errors import ScoreError
from ..musicxml.file.container import Document, open_document, read_tree
from ..musicxml.formats.abc.file import AbcSource
from ..musicxml.formats.imported import ImportedScore, import_scores
from ..musicxml.formats.known_formats import MUSICXML, TIMEWISE, Format
from ..musicxml.write.cleaning import clean


@dataclass(frozen=True)
class OpenedScore:
    """A score without our marks, the format that it came in, what is to be said of it, and the ABC it was read from."""

    document: Document
    format: Format
    remarks: tuple[str, ...] = ()
    abc: AbcSource | None = None

    @property
    def tunes(self) -> tuple[tuple[str, str], ...]:
        """Number and title of every tune of the collection that the score comes from; empty if it is none."""
        return () if self.abc is None else tuple((tune.number, tune.title) for tune in self.abc.file.tunes)


def open_score(data: bytes, options: Options, limits: Limits, name: str = "") -> OpenedScore:
    """Return the score in a file; of a collection the tune that is asked for, or the first.

    Raises:
        ScoreError: it cannot be read, or has no such tune.
    """
    return open_scores(data, options, limits, name, every=False)[0]


def open_scores(
    data: bytes, options: Options, limits: Limits, name: str = "", *, every: bool = True
) -> tuple[OpenedScore, ...]:
    """Return the scores in a file: the tunes of a collection that are asked for, or every one.

    Raises:
        ScoreError: it cannot be read, or has no such tune.
    """
    return tuple(_opened(each, limits) for each in import_scores(data, name, limits, options.tune, every))


def _opened(score: ImportedScore, limits: Limits) -> OpenedScore:
    try:
        document = open_document(score.data, limits, prepare=clean)
    except ScoreError as fault:
        if fault.code != "timewise":
            raise
        from ..musicxml.formats.timewise import to_partwise

        document = open_document(to_partwise(read_tree(score.data, limits)), limits, prepare=clean)
        return OpenedScore(document, TIMEWISE, (TIMEWISE.remark, *_others(document)))
    return OpenedScore(document, score.format, (*score.remarks, *_others(document)), score.abc)


def _others(document: Document) -> tuple[str, ...]:
    """What is said of an archive that holds more scores than the one it names first."""
    if not document.other_scores:
        return ()
    names = ", ".join(document.other_scores)
    return (f"The file also holds other scores (often its single parts), neither read nor changed: {names}.",)


__all__ = ["MUSICXML", "OpenedScore", "open_score", "open_scores"]
