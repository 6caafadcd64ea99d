"""What the page says before its script runs: to search machines, and to a browser without scripts."""

from .message import Message

DESCRIPTION = Message("Plan the left hand of a violin or viola part: paste a part, see it marked, decide, save it.")
NO_SCRIPT = Message("This page plans and shows music with JavaScript, all of it from this machine; please allow it.")
