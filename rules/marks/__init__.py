"""What is decided before the planner starts: by marks printed in the part and by the player's own pins.

Printed fingers, strings, position words and *restez* become constraints on single notes.
Public names: `Constraint`, `Decisions`, `Pin`, `printed_decisions`, `decisions_with_pins`.
"""
