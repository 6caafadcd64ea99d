"""Sheets: which drills and which bars of a piece are practised, in which order.

Public names: `full_sheet.practice_sheet`, `tasks.tasks`.
"""
