"""What the program says to players: every sentence with its placeholders, and how it is said in a language."""
