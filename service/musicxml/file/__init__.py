"""A score as a file: archives and encodings, limits, the safe parser, and offsets of elements in the bytes.

Public names: `open_document`, `Document`, `find_notes`.
"""
