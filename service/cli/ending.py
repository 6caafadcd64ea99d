"""Exit codes and error messages of commands. No traceback ever reaches a user."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Callable, Sequence
from itertools import pairwise

from ..errors import ScoreError, our_fault
from .exit_codes import Exit

INTERRUPTED = 130  # 128 and the number of SIGINT, as shells count


def exit_code(command: Callable[[], int], arguments: Sequence[str] = ()) -> int:
    """Run a command; return its exit code, 2 if it could not do its work, 130 after Ctrl-C.

    Errors are said in the language that the arguments name.
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")  # what a terminal cannot show is no reason to fail
    try:
        try:
            return command()
        finally:
            if sys.stdout is not None:
                sys.stdout.flush()  # a full disk can still be reported here
    except ScoreError as error:
        _say(_in_words(error, arguments))
    except KeyboardInterrupt:
        return INTERRUPTED
    except OSError as error:
        name = "standard output" if error.filename is None else str(error.filename) or "''"
        _say(f"{name}: {error.strerror or 'cannot be used'}")
        _give_up_output()
    except Exception as fault:
        _say(our_fault(fault))
    return Exit.FAILED


def _in_words(error: ScoreError, arguments: Sequence[str]) -> str:
    """The error in the language of `--language`; in English if it names none."""
    from ..messages.message import Wording
    from ..naming import Language

    named = [text for before, text in pairwise(arguments) if before == "--language"]
    named += [text.removeprefix("--language=") for text in arguments if text.startswith("--language=")]
    if not named or named[-1] not in list(Language):
        return str(error)
    wording = Wording(Language(named[-1]))
    message, advice = wording.text(error.message), wording.text(error.advice)
    return str(ScoreError(error.code, message, advice, error.where and wording.text(error.where)))


def _say(text: str) -> None:
    from ..usecases.files import printable_name

    if sys.stderr is not None:
        sys.stderr.write(f"handframe: {printable_name(text)}\n")


def _give_up_output() -> None:
    """Redirect a closed or full standard output, since Python would print an error about it at exit."""
    try:
        sys.stdout.flush()
    except (OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)
