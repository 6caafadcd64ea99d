"""Reports on reviewed and checked scores, in text and in the formats that programs read.

`formats.py` lists the formats; each of the others writes one and takes results as values: it opens no file and knows no
terminal. `wire/` holds the models of the JSON answers.
"""
