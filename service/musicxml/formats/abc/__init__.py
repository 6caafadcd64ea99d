"""ABC in and out: the file, its tunes, their music as values, MusicXML made of it, and marks written into the text."""
