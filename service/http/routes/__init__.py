"""The addresses of the service, one module for each group: scores, practice, the page, and what the service says of itself."""
