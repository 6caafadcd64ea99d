"""Practice material for the shifts of a plan: exercises, sheets and a progressive set of tunes.

A sheet is a value: sections, exercises, bars and notes with their stops. Writing it as MusicXML is the service's work.
Public names: `practice_sheet`, `Sheet`, `Exercise`, `progressive_set`.
"""
