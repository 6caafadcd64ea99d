"""Texts of the help that several commands share; nothing heavy is imported for them."""

from ..errors import said

FILE, VALUE, NUMBER = said("FILE"), said("VALUE"), said("N")
TO_STANDARD_OUTPUT = said("file to write (default: standard output)")
