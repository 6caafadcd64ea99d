"""What a route means: spans, shifts and excursions, figures to compare, finger patterns, and what is worth printing.

Everything here is read off a finished route. Nothing is chosen.
Public names: `Plan`, `Shift`, `Span`, `Excursion`, `Figures`, `figures`, `finger_patterns`, `Fingerboard`.
"""
