"""Where to leave first position and why, what repeats, and other ways to play a passage.

`propose` plans a part at a level and gives each excursion its reasons, with figures before and after.
Public names: `propose`, `Proposal`, `Reason`, `alternatives`, `explain`.
"""
