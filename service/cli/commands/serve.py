"""The command `serve`: one flag for every setting."""

from __future__ import annotations

import argparse
import sys

from ...config.settings import SettingError, Settings, default_text, read_settings, variable
from ...errors import said
from ...messages.faults import system_reason
from ...messages.help_texts import VALUE
from ..arguments import add_language_flag
from ..command_language import spoken
from ..exit_codes import Exit


def add_arguments(serve: argparse.ArgumentParser) -> None:
    """Add the arguments of the command."""
    serve.description = said("Answer on a local address. Each flag can also be set in the environment; the flag wins.")
    for name, field in Settings.model_fields.items():
        text = said(
            "{meaning} (default: {default}; {variable})",
            meaning=said(str(field.description)),
            default=default_text(field),
            variable=variable(name),
        )
        serve.add_argument(f"--{name.replace('_', '-')}", dest=name, metavar=VALUE, help=text)
    add_language_flag(serve)
    serve.set_defaults(run=_serve)


def _serve(arguments: argparse.Namespace) -> int:
    from ...messages import commands as words
    from ...messages.message import Wording

    language = spoken(arguments)
    wording = Wording(language)
    flags = {name: getattr(arguments, name) for name in Settings.model_fields if getattr(arguments, name) is not None}
    try:
        settings = read_settings(flags)
    except SettingError as error:
        print(f"handframe: {wording.text(error.sentence)}", file=sys.stderr)
        return Exit.FAILED
    from ...http.server import serve

    try:
        serve(settings, language)
    except OSError as error:
        where = wording.say(words.ADDRESS, host=settings.host, port=str(settings.port))
        told = wording.say(words.NO_ADDRESS, address=where, reason=wording.text(system_reason(error)))
        print(f"handframe: {told}", file=sys.stderr)
        return Exit.FAILED
    return 0
