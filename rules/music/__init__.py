"""What is played: instruments and pitches, keys and metres, and a part as a `Passage` of events.

A passage knows its exact times, its techniques and what is printed, and nothing of fingers that are still to be chosen.
Public names: `Pitch`, `Instrument`, `Key`, `Passage`, `Event`, `Note`.
"""
