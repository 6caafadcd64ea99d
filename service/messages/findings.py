"""What a check of a catalogue says around its findings; the findings themselves are worded by the rules."""

from .message import Message

FINDINGS = Message("one finding", "{n} findings")
FILES = Message("one file", "{n} files")
PASSAGES = Message("one passage", "{n} passages")
AGAIN = Message("and once more in this bar", "and {n} times more in this bar")
PARTS = Message("one part", "{n} parts")
ERRORS = Message("one error", "{n} errors")
WARNINGS = Message("one warning", "{n} warnings")
NOTES = Message("one note", "{n} notes")
SEVERITIES = {"error": ERRORS, "warning": WARNINGS, "note": NOTES}
"""How many of each severity, the gravest first."""
FINDING_AT = Message("{where}: {finding}")
ANSWERED = Message("{finding} (answered by proposal {number})")
