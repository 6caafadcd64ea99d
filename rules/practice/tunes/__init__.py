"""Tunes for a player who brings no piece: forms, slots for the notes, melodies, and the set built from them.

The same key always gives the same tunes.
Public name: `progressive_set`.
"""
