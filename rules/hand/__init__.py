"""What a hand can do: stops and grips, the frame, positions, levels, harmonics and other techniques.

Positions count letter names, the frame counts semitones. Nothing here has a cost: a grip either exists or it does not.
Public names: `Stop`, `Grip`, `grips_for`, `Level` and the levels, `required_level`.
"""
