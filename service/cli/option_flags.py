"""The options of a request as flags, made from their declaration in `config/options.py`."""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from pydantic.fields import FieldInfo

from ..config.hands import hand_text, read_hand_file
from ..config.options import NAMES, Options, choices_of, read_options, repeatable_of
from ..usecases.files import read_text


def add_option_flags(command: argparse.ArgumentParser, names: Sequence[str] = NAMES) -> None:
    """Add a flag for each option, or for some of them."""
    group = command.add_argument_group("how to plan and mark")
    for name in names:
        field = Options.model_fields[name]
        flag = f"--{name.replace('_', '-')}"
        if field.annotation is bool:
            group.add_argument(flag, dest=name, action="append_const", const="true", help=field.description)
        else:
            group.add_argument(flag, dest=name, action="append", metavar="VALUE", help=_help(field))


def options_from(arguments: argparse.Namespace) -> Options:
    """Return the options that the flags set.

    Raises:
        ScoreError: `bad-option`.
    """
    return read_options(texts_from(arguments))


def texts_from(arguments: argparse.Namespace) -> dict[str, list[str]]:
    """Return the options that the flags set, as texts by name; a hand that is given as a file is read.

    Raises:
        ScoreError: the file cannot be read, or is no hand.
    """
    found = {name: texts for name in NAMES if (texts := getattr(arguments, name, None)) is not None}
    if "hand" in found:
        found["hand"] = [_hand(text) for text in found["hand"]]
    return found


def _hand(text: str) -> str:
    return hand_text(read_hand_file(read_text(text), text)) if text.lower().endswith(".toml") else text


def _help(field: FieldInfo) -> str:
    words = choices_of(field)
    pieces = [str(field.description)]
    if words is not None:
        default = words.word(field.get_default(call_default_factory=False))
        pieces.append(": " + ", ".join(f"{word} (default)" if word == default else word for word in words.values))
    if field.examples:
        example = field.examples[0]
        pieces.append(f", for example {example[0] if isinstance(example, list) else example}")
    if repeatable_of(field) is not None:
        pieces.append("; repeatable")
    if field is Options.model_fields["hand"]:
        pieces.append(", or a TOML file that `handframe learn` wrote")
    return "".join(pieces)
