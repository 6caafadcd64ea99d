"""Reports on reviewed and checked scores, in text and in the formats that programs read.

Each module writes one format and takes results as values: it opens no file and knows no terminal. `wire/` holds the
models of the JSON answers.
"""
