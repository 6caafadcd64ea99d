"""The command `serve`: one flag for every setting."""

from __future__ import annotations

import argparse
import os
import sys
from typing import Any

from ..config.settings import SettingError, meanings, read_settings, variable

_FAILED = 2


def add_serve(commands: Any) -> None:
    """Add the command to the command line."""
    serve = commands.add_parser(
        "serve",
        help="answer on a local address, with a page",
        description="Answer on a local address. Each flag can also be set in the environment; the flag wins.",
    )
    for name, (meaning, default) in meanings().items():
        shown = ",".join(default) if isinstance(default, tuple) else default
        text = f"{meaning} (default: {shown if shown != '' else 'none'}; {variable(name)})"
        serve.add_argument(f"--{name.replace('_', '-')}", dest=name, metavar="VALUE", help=text)
    serve.set_defaults(run=_serve)


def _serve(given: argparse.Namespace) -> int:
    flags = {name: getattr(given, name) for name in meanings() if getattr(given, name) is not None}
    try:
        settings = read_settings(os.environ, flags)
    except SettingError as error:
        print(f"handframe: {error}", file=sys.stderr)
        return _FAILED
    from ..http.server import serve

    try:
        serve(settings)
    except OSError as error:
        where = f"{settings.host}, port {settings.port}"
        print(f"handframe: {where}: {error.strerror}. Give another with --host and --port.", file=sys.stderr)
        return _FAILED
    return 0
