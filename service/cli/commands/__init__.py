"""The commands, a module each; `service/cli/main.py` imports the one that is called.

A command takes arguments, calls a use case, and writes files and messages.
"""
