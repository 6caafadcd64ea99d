"""What holding a grip and moving to the next one cost.

Effort is a sum of terms: weight times context (when it counts) times quantity (what the hand does). `standard_terms`
holds the weights with a sentence each, `context` and `quantities` work on arrays, `passage_costs` adds them up for
one passage.
Public names: `Term`, `Weights`, `STANDARD`, `Character`.
"""
