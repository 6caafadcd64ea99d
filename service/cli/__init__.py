"""The command line: `commands` has a module for each command, `main.py` what they share.

A command takes arguments, calls a use case, and writes files and messages. Modules that take time to import are
imported by the command that needs them, so that `handframe --help` and `handframe clean` start at once.
"""
