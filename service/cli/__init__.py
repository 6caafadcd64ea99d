"""The command line: one module for each command, `main.py` for what they share.

A command takes arguments, calls a use case, and writes files and messages. Modules that take time to import are
imported by the command that needs them, so that `handframe --help` and `handframe clean` start at once.
"""
