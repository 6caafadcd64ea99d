"""Scores to measure with: the samples repeated to a given length, and a quartet of music21's corpus."""

from __future__ import annotations

import re
from pathlib import Path

SAMPLES = Path(__file__).resolve().parents[2] / "sample_scores"
_MEASURE = re.compile(r"[ \t]*<measure .*?</measure>\s*", re.DOTALL)


def repeated(name: str, notes: int) -> bytes:
    """Return a sample with its measures repeated until it has about so many notes."""
    return joined([name], notes)


def joined(names: list[str], notes: int) -> bytes:
    """Return one part made of the measures of several samples in turn, repeated until it has about so many notes."""
    texts = [(SAMPLES / f"{name}.musicxml").read_text(encoding="utf-8") for name in names]
    measures = [measure for text in texts for measure in _MEASURE.findall(text)]
    found: list[str] = []
    counted = 0
    while counted < notes:
        for measure in measures:
            found.append(re.sub(r'number="[^"]*"', f'number="{len(found) + 1}"', measure, count=1))
            counted += measure.count("<note")
            if counted >= notes:
                break
    head, tail = texts[0][: texts[0].index("<measure")], texts[0][texts[0].rindex("</measure>") + len("</measure>") :]
    return (head + "".join(found) + tail).encode()


def quartet() -> bytes:
    """Return a movement of a string quartet (Mozart K. 80, first movement) as plain XML."""
    import zipfile

    from music21 import corpus

    with zipfile.ZipFile(str(corpus.getWork("mozart/k80/movement1"))) as archive:
        return archive.read(next(n for n in archive.namelist() if n.endswith(".xml") and not n.startswith("META-INF")))
