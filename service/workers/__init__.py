"""Work in other processes: a bounded pool of planners that can be killed at a deadline, and a catalogue over a cluster.

Public names: `Pool`, `check_scores`.
"""
