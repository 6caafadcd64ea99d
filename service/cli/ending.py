"""Exit codes and error messages of commands. No traceback ever reaches a user."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Callable, Sequence

from ..errors import ScoreError, said
from ..language import Language
from .command_language import command_language
from .exit_codes import Exit
from .interrupts import was_interrupted

INTERRUPTED = 130  # 128 and the number of SIGINT, as shells count


def exit_code(command: Callable[[], int], arguments: Sequence[str] = ()) -> int:
    """Run a command; return its exit code, 2 if it could not do its work, 130 after Ctrl-C.

    Errors are said in the language of the command.
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
    except KeyboardInterrupt:
        return INTERRUPTED
    except Exception as fault:
        if was_interrupted():
            return INTERRUPTED
        _tell(fault, arguments)
    return Exit.FAILED


def _tell(fault: Exception, arguments: Sequence[str]) -> None:
    from ..messages.faults import our_fault, system_reason  # not needed where all goes well

    if isinstance(fault, ScoreError):
        _say(_in_words(fault.sentence, arguments).strip())
    elif isinstance(fault, OSError):
        named = said("standard output") if fault.filename is None else fault.filename or "''"
        text = said(
            "{file}: {reason}", file=named if isinstance(named, str) else str(named), reason=system_reason(fault)
        )
        _say(_in_words(text, arguments))
        _give_up_output()
    else:
        _say(_in_words(our_fault(fault), arguments))


def _in_words(sentence: str, arguments: Sequence[str]) -> str:
    """A text in the language of the command."""
    language = command_language(arguments)
    if language is Language.BRITISH:
        return sentence
    from ..messages.message import Wording

    return Wording(language).text(sentence)


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
