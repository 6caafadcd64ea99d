"""Time signatures."""

from __future__ import annotations

Meter = tuple[int, int]
"""Beats in a bar and the note value of a beat: (6, 8) is six eighths."""
