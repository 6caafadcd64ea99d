"""Tables of the trade that more than one test holds us to. Common practice."""

from __future__ import annotations

ANCHORS = {
    1: "A3 E4 B4 F5",
    2: "B3 F4 C5 G5",
    3: "C4 G4 D5 A5",
    4: "D4 A4 E5 B5",
    5: "E4 B4 F5 C6",
    6: "F4 C5 G5 D6",
    7: "G4 D5 A5 E6",
}
"""The notes under the first finger on G, D, A and E in C major, by position."""
