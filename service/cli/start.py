"""The entry point. Everything else is imported inside, so that Ctrl-C works even while the program loads."""

from __future__ import annotations

_INTERRUPTED = 130


def start() -> int:
    """Run the command that was typed and return its exit code."""
    try:
        from .ending import exit_code
    except KeyboardInterrupt:
        return _INTERRUPTED
    return exit_code(_main)


def _main() -> int:
    from ..config.garbage_collection import collect_less_often
    from .main import main

    collect_less_often()
    return main()
