"""A fingering hand learned from fingered music, and whether it holds on music that it has not seen.

Public names: `FingeredPiece`, `learn_hand`, `LearnedHand`.
"""
