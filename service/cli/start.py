"""Where the program starts: everything else is imported inside, so that Ctrl-C ends it cleanly even while it loads."""

from __future__ import annotations

from .ending import exit_code


def start() -> int:
    """Run the command that was typed and return its exit code."""
    return exit_code(_main)


def _main() -> int:
    from ..config.garbage_collection import collect_less_often
    from .main import main

    collect_less_often()
    return main()
