"""The sign of a note value in a line of text, drawn: few text fonts have a half note."""

from __future__ import annotations

from fractions import Fraction

_WIDTH, _HEIGHT = 11, 22
_HEAD = '<ellipse cx="4" cy="18" rx="3.6" ry="2.7" transform="rotate(-20 4 18)" stroke="currentColor" {fill}/>'
_HOLLOW, _FILLED = 'stroke-width="1.4" fill="none"', 'fill="currentColor"'
_STEM = '<path d="M7.4 17V1" stroke="currentColor" stroke-width="1.1" fill="none"/>'
_FLAG = '<path d="M7.4 {top}q.4 3.2 2.2 4.8t.6 4.6q-.2-3.4-2.8-5z" fill="currentColor"/>'
_DOT = '<circle cx="10" cy="18" r="1.2" fill="currentColor"/>'
_BETWEEN_FLAGS = 4


def note_sign(beats: Fraction) -> str:
    """Return a drawing (SVG) of the note of so many quarter notes: a half or shorter, with at most one dot."""
    dotted = beats.numerator % 3 == 0
    plain = beats * 2 / 3 if dotted else beats
    head = _HEAD.format(fill=_FILLED if plain < Fraction(2) else _HOLLOW)
    flags = max((1 / plain).numerator.bit_length() - 1, 0) if plain < 1 else 0
    tails = "".join(_FLAG.format(top=1 + _BETWEEN_FLAGS * number) for number in range(flags))
    drawn = head + _STEM + tails + (_DOT if dotted else "")
    return f'<svg class="note" viewBox="0 0 {_WIDTH + 1} {_HEIGHT}" aria-hidden="true">{drawn}</svg>'


__all__ = ["note_sign"]
