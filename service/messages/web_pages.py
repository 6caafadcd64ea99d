"""Words of web pages that the service writes itself: the page before its script runs, and the list of rules."""

from .message import Message

DESCRIPTION = Message("Plan the left hand of a violin or viola part: paste a part, see it marked, decide, save it.")
NO_SCRIPT = Message("This page plans and shows music with JavaScript, all of it from this machine; please allow it.")
"""For search machines, and for a browser without scripts."""

LIST_OF_RULES = {
    "title": Message("Rules"),
    "outcome": Message("Outcome"),
    "severity": Message("Severity"),
    "finding": Message("Finding"),
    "error": Message("error"),
    "warning": Message("warning"),
    "note": Message("note"),
}
