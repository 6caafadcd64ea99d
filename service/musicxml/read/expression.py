"""What a part prints for the bow and the sound: signs at notes, letters, hairpins."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction

from rules import Expression, Hairpin

from ..notation.directions import Kind
from ..notation.note_marks import SIGNS
from ..notation.notes import Tick
from ..notation.part import WrittenPart


def read_expression(written: WrittenPart, quarters: Callable[[Tick], Fraction]) -> Expression:
    """Return what a part prints for the bow and the sound; its notes have to be made."""
    signs = {
        note.note.id: tuple(dict.fromkeys(SIGNS[name] for name in note.marks.printed_signs if name in SIGNS))
        for note in written.marked
        if note.head is None and note.marks.printed_signs
    }
    letters = [d for d in written.directions if d.kind in (Kind.DYNAMIC, Kind.SFORZATO)]
    at_notes = [(note.onset, note.marks.dynamic) for note in written.marked if note.marks.dynamic and note.head is None]
    dynamics = sorted([*((direction.tick, direction.value) for direction in letters), *at_notes])
    return Expression(
        {id: found for id, found in signs.items() if found},
        tuple(dict.fromkeys((quarters(tick), value) for tick, value in dynamics)),
        tuple((kind, quarters(first), quarters(last)) for kind, first, last in _hairpins(written)),
    )


def _hairpins(written: WrittenPart) -> Iterator[tuple[Hairpin, Tick, Tick]]:
    """Yield each hairpin that has an end."""
    begun: dict[str, tuple[Hairpin, Tick]] = {}
    for direction in sorted((d for d in written.directions if d.kind is Kind.HAIRPIN), key=lambda d: d.tick):
        what, _, number = direction.value.partition(" ")
        if what != "stop":
            begun[number] = Hairpin(what), direction.tick
        elif number in begun:
            kind, first = begun.pop(number)
            yield kind, first, direction.tick


__all__ = ["read_expression"]
