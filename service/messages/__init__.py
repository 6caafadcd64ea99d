"""What the program says to players: every sentence with its placeholders, and how it is said in a language.

`message` and `translations` say a sentence in a language; the other modules hold the sentences, by where they are said.
The catalogues of translations lie in `catalogues`. Public names: `Message`, `Wording`.
"""
