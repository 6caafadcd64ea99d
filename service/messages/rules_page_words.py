"""Words of the page that lists the rules."""

from .message import Message

WORDS = {
    "title": Message("Rules"),
    "outcome": Message("Outcome"),
    "severity": Message("Severity"),
    "finding": Message("Finding"),
    "error": Message("error"),
    "warning": Message("warning"),
    "note": Message("note"),
}
