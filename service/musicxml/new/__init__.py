"""Documents of our own: practice sheets as complete MusicXML.

Public names: `compose`, `compose_exercise`.
"""
