"""Which grips come into question for each event, by its notes, the level and what is decided.

The planner chooses among these and no others.
Public names: `Candidates`, `candidates`.
"""
