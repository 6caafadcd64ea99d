"""The command `serve`: one flag for every setting."""

from __future__ import annotations

import argparse
import sys

from ...config.settings import SettingError, Settings, default_text, read_settings, variable
from ..exit_codes import Exit


def add_arguments(serve: argparse.ArgumentParser) -> None:
    """Add the arguments of the command."""
    serve.description = "Answer on a local address. Each flag can also be set in the environment; the flag wins."
    for name, field in Settings.model_fields.items():
        text = f"{field.description} (default: {default_text(field)}; {variable(name)})"
        serve.add_argument(f"--{name.replace('_', '-')}", dest=name, metavar="VALUE", help=text)
    serve.set_defaults(run=_serve)


def _serve(arguments: argparse.Namespace) -> int:
    flags = {name: getattr(arguments, name) for name in Settings.model_fields if getattr(arguments, name) is not None}
    try:
        settings = read_settings(flags)
    except SettingError as error:
        print(f"handframe: {error}", file=sys.stderr)
        return Exit.FAILED
    from ...http.server import serve

    try:
        serve(settings)
    except OSError as error:
        where = f"{settings.host}, port {settings.port}"
        print(f"handframe: {where}: {error.strerror}. Give another with --host and --port.", file=sys.stderr)
        return Exit.FAILED
    return 0
