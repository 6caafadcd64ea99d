"""A policy at which the process dies: what a crash within a library looks like to the rest of a run."""

from __future__ import annotations

import os

from service.policies.policy_file import HousePolicy, built_in


class DeadlyPolicy:
    """Ends the process when it is asked about one file."""

    def for_file(self, name: str) -> HousePolicy:
        """Return a policy, or never return."""
        if name.endswith("easy.musicxml"):
            os._exit(9)
        return built_in("first").for_file(name)
