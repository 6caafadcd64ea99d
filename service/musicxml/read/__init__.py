"""What the elements of a part mean: exact time, tempo, slurs, words in force, tuning. The result is a `Passage`.

Public names: `read_part`, `Reading`.
"""
