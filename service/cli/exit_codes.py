"""What the exit codes of the commands say."""

from __future__ import annotations

from enum import IntEnum


class Exit(IntEnum):
    """What the exit code says; after Ctrl-C it is 130."""

    CLEAN = 0
    """The work is done, and nothing is at or above the threshold."""
    FINDINGS = 1
    """Findings at or above the threshold."""
    FAILED = 2
    """Something could not be done; what could was."""
    NOTHING = 3
    """There was nothing to check: no score has a part for violin or viola."""
