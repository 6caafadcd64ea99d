"""A file in any format as one score, or several for a collection: as MusicXML, with what is to be said of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from ... import errors
from ...config.file_limits import Limits
from ...errors import said
from .known_formats import ABC, HUMDRUM, MEI, MIDI, MUSICXML, Format, format_of

if TYPE_CHECKING:
    from .abc.file import AbcFile, AbcSource, Tune

EVERY_TUNE = "all"


@dataclass(frozen=True)
class ImportedScore:
    """One score: MusicXML as bytes, the format that it came in, and what is to be said of it."""

    data: bytes
    format: Format
    remarks: tuple[str, ...] = ()
    abc: AbcSource | None = None


def import_scores(
    data: bytes, name: str, limits: Limits, tune: str | None = None, every: bool = False
) -> tuple[ImportedScore, ...]:
    """Return the scores of a file: one, or the tunes of an ABC collection that are asked for.

    Args:
        data: the file.
        name: what it is called; its ending tells ABC and kern where the beginning does not.
        limits: what is too large.
        tune: number of a tune, or "all"; without it the first one, or all with `every`.
        every: all tunes are wanted unless `tune` says otherwise.

    Raises:
        ScoreError: the file is too large or cannot be read, or has no such tune.
    """
    format = format_of(data, name)
    if format is not ABC and tune is not None:
        raise errors.no_collection()
    if format is MUSICXML:
        return (ImportedScore(data, format),)
    if len(data) > limits.other_bytes:
        raise errors.too_large(said("The file"), len(data), limits.other_bytes)
    if format is ABC:
        return _tunes(data, tune, every)
    return (ImportedScore(_converted(format.name, data, limits), format, (format.remark,)),)


@lru_cache(maxsize=4)
def _converted(format: str, data: bytes, limits: Limits) -> bytes:
    """A file as MusicXML. The last few are kept: the page opens a score, plans it and plans it again."""
    from . import by_music21

    convert = {
        HUMDRUM.name: by_music21.humdrum_to_musicxml,
        MEI.name: by_music21.mei_to_musicxml,
        MIDI.name: by_music21.midi_to_musicxml,
    }[format]
    return convert(data, limits)


def _tunes(data: bytes, wanted: str | None, every: bool) -> tuple[ImportedScore, ...]:
    from .abc.file import read_abc

    file = read_abc(data)
    chosen = _chosen(file.tunes, wanted, every)
    return tuple(_score(file, tune, wanted is None and not every) for tune in chosen)


def _chosen(tunes: Sequence[Tune], wanted: str | None, every: bool) -> Sequence[Tune]:
    if wanted == EVERY_TUNE or (wanted is None and every):
        return tunes
    if wanted is None:
        return tunes[:1]
    found = [tune for tune in tunes if tune.number.lstrip("0") == wanted.lstrip("0")]
    if not found:
        raise errors.unknown_tune(wanted, [_named(tune) for tune in tunes])
    return found[:1]


def _score(file: AbcFile, tune: Tune, unasked: bool) -> ImportedScore:
    from .abc.file import AbcSource
    from .abc.score import write_tune

    several = len(file.tunes) > 1
    written = write_tune(file, tune, f"X{tune.number}P" if several else "P")
    remarks = [ABC.remark]
    if several:
        remark = said("This is tune {tune}.", tune=_named(tune))
        if unasked:
            remark = said(
                "The file holds {n} tunes; this is tune {tune}. Choose another one with the option tune.",
                n=len(file.tunes),
                tune=_named(tune),
            )
        remarks.append(remark)
    return ImportedScore(written.data, ABC, tuple(remarks), AbcSource(file, tune, written.places))


def _named(tune: Tune) -> str:
    return f"{tune.number} ({tune.title})" if tune.title else tune.number


__all__ = ["EVERY_TUNE", "ImportedScore", "import_scores"]
