"""The entry point. Everything else is imported inside, so that Ctrl-C works even while the program loads."""

from __future__ import annotations

from .interrupts import remember_interrupts, was_interrupted

_INTERRUPTED = 130


def start() -> int:
    """Run the command that was typed and return its exit code."""
    try:
        remember_interrupts()
        from .ending import exit_code
    except KeyboardInterrupt:
        return _INTERRUPTED
    except Exception:
        if was_interrupted():
            return _INTERRUPTED
        raise
    return exit_code(_main)


def _main() -> int:
    from ..config.garbage_collection import collect_less_often
    from .main import main

    collect_less_often()
    return main()
