"""The page: its routes, what it is told about a score, and its assets."""
