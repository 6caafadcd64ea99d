"""Policies at which a check goes wrong: a crash within a library, a fault of ours, work without end."""

from __future__ import annotations

import os
import time

from service.policies.policy_file import HousePolicy, built_in


class DeadlyPolicy:
    """Ends the process when it is asked about one file."""

    def for_file(self, name: str) -> HousePolicy:
        """Return a policy, or never return."""
        if name.endswith("easy.musicxml"):
            os._exit(9)
        return built_in("first").for_file(name)


class FaultyPolicy:
    """Raises what nobody foresees when it is asked about one file."""

    def for_file(self, name: str) -> HousePolicy:
        """Return a policy, or fail."""
        if name.endswith("easy.musicxml"):
            raise RuntimeError("secret")
        return built_in("first").for_file(name)


class EndlessPolicy:
    """Never comes to an end about one file, and writes down which process is at it."""

    def __init__(self, note: str) -> None:
        self._note = note

    def for_file(self, name: str) -> HousePolicy:
        """Return a policy, or go on and on."""
        if name.endswith("easy.musicxml"):
            with open(self._note, "a", encoding="ascii") as file:
                file.write(f"{os.getpid()}\n")
            while True:
                time.sleep(0.01)
        return built_in("first").for_file(name)
