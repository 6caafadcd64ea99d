"""Marks for a plan, spliced into the original bytes, removed again, and verified before they leave.

Public names: `marks_for`, `insert`, `clean`, `verify`.
"""
