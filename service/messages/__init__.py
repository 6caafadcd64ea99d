"""What the program says to players: every sentence with its placeholders, and how it is said in a language.

What does not belong here: which sentence is said when (`reports`), and words printed into scores (`naming`).
"""
