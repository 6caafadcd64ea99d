"""Other formats than MusicXML partwise: each is told by its content, and becomes MusicXML.

`known_formats` lists them, `imported` turns a file into scores. ABC is read here (`abc`), since its fingerings, names
and offsets are needed; kern, MEI and MIDI are read by music21 (`by_music21`).
"""
