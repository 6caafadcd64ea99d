"""The addresses of the service, one module for each group.

Scores, practice, the page, and what the service says of itself.
"""
