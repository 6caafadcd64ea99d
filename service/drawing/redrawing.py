"""Pictures of a score that changes a little at a time: only the lines of music that changed are drawn again.

A process keeps the drawings it has made last. If a score is the one that it drew before but for some measures, the
pictures with these measures are drawn anew, with the lines beginning where they began, and the others stay. Places
in a picture drawn by itself differ by the engraver's rounding (a 180th of a staff space); without a key signature its
first bar begins a quarter of a space further right.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from itertools import accumulate, pairwise

from lxml import etree

from .engraving import Layout, engrave
from .score_pieces import cut_out

DRAWINGS_KEPT = 12
_MOST_AGAIN = 0.5
"""If more of the measures than this have to be drawn again, all are."""
_MEASURE = re.compile(r"<measure[ >].*?</measure>", re.DOTALL)
_IN_PICTURE = re.compile(r'class="(system|measure)"')
_SEEDS = 1000  # for the pictures of a piece that are drawn again: ids must differ within the page


@dataclass(frozen=True)
class _Picture:
    """A picture, and how many measures stand on each of its lines."""

    text: str
    lines: tuple[int, ...]

    @classmethod
    def of(cls, text: str) -> _Picture:
        lines: list[int] = []
        for found in _IN_PICTURE.findall(text):
            if found == "system":
                lines.append(0)
            elif lines:
                lines[-1] += 1
        return cls(text, tuple(lines))


@dataclass(frozen=True)
class _Drawing:
    """A score as it was drawn."""

    around: str
    measures: list[str]
    pictures: list[_Picture]

    @property
    def starts(self) -> list[int]:
        """The measure at which each picture begins, and the number of measures."""
        return [0, *accumulate(sum(picture.lines) for picture in self.pictures)]


class Drawings:
    """The drawings made last, by layout and seed."""

    def __init__(self) -> None:
        self._known: dict[tuple[Layout, int], list[_Drawing]] = {}

    def pictures(self, score: str, layout: Layout, seed: int) -> list[str]:
        """Return the pictures of a score; pages are always drawn whole.

        Raises:
            ScoreError: `not-drawn`, if the engraver cannot read the score.
        """
        if layout.height:
            return list(engrave(score, layout, seed=seed))
        around, measures = _MEASURE.sub("", score), _MEASURE.findall(score)
        latest = self._known.pop((layout, seed), [])
        alike = [one for one in latest if one.around == around and len(one.measures) == len(measures)]
        drawing = next((again for one in alike if (again := _drawn_again(one, score, measures, layout, seed))), None)
        if drawing is None:
            drawing = _Drawing(around, measures, [_Picture.of(text) for text in engrave(score, layout, seed=seed)])
        self._known[layout, seed] = [drawing, *(one for one in latest if one not in alike)][:2]
        while len(self._known) > DRAWINGS_KEPT:
            self._known.pop(next(iter(self._known)))
        return [picture.text for picture in drawing.pictures]


def _drawn_again(known: _Drawing, score: str, measures: list[str], layout: Layout, seed: int) -> _Drawing | None:
    """The drawing with the pictures that changed drawn anew; None if all of it had better be."""
    starts = known.starts
    if starts[-1] != len(measures):
        return None
    changed = [at for at, (a, b) in enumerate(zip(known.measures, measures, strict=True)) if a != b]
    if not changed:
        return known
    root = etree.fromstring(score.encode("utf-8"))
    groups = _groups(starts, changed, _joined(root))
    again = sum(starts[last] - starts[first] for first, last in groups)
    if again > _MOST_AGAIN * len(measures):
        return None
    pictures: list[_Picture] = []
    done = 0
    for first, last in groups:
        pictures += known.pictures[done:first]
        lines = [count for picture in known.pictures[first:last] for count in picture.lines]
        is_last = starts[last] == len(measures)
        own = replace(layout, breaks="encoded", stretched=layout.stretched if is_last else 0.0)
        piece = cut_out(root, starts[first], starts[last], list(accumulate(lines))[:-1])
        drawn = [_Picture.of(text) for text in engrave(piece, own, seed=seed * _SEEDS + first + 1)]
        if [count for picture in drawn for count in picture.lines] != lines:
            return None
        pictures += drawn
        done = last
    return _Drawing(known.around, measures, [*pictures, *known.pictures[done:]])


def _groups(starts: list[int], changed: list[int], joined: set[int]) -> list[tuple[int, int]]:
    """The runs of pictures to draw again, each from its first to before its last; none ends where something goes on."""
    touched = {number for number, (a, b) in enumerate(pairwise(starts)) if any(a <= at < b for at in changed)}
    more = set(touched)
    while more:
        near = {n - 1 for n in more if starts[n] in joined} | {n + 1 for n in more if starts[n + 1] in joined}
        more = near - touched
        touched |= more
    groups: list[tuple[int, int]] = []
    for number in sorted(touched):
        if groups and groups[-1][1] == number and starts[number] in joined:
            groups[-1] = groups[-1][0], number + 1
        else:
            groups.append((number, number + 1))
    return groups


_SPANNING = ("tie", "slur", "wedge", "bracket", "dashes", "slide", "glissando", "octave-shift", "wavy-line", "ending")
_OPENS = {"start", "up", "down", "crescendo", "diminuendo"}


def _joined(root: etree._Element) -> set[int]:
    """The measures that need the one before: a line leads into them, or clef, key or time changes."""
    found: set[int] = set()
    count = 0
    part = root.find("part")
    for at, measure in enumerate(part.iterchildren("measure") if part is not None else ()):
        if count or (at and measure.find("attributes") is not None):
            found.add(at)
        for element in measure.iter(*_SPANNING):
            kind = element.get("type")
            count += (kind in _OPENS) - (kind in {"stop", "discontinue"})
        count = max(count, 0)
    return found
