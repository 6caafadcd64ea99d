"""The options of a request as flags, made from their declaration in `config/options.py`."""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from pydantic.fields import FieldInfo

from ..config.hands import hand_text, read_hand_file
from ..config.options import NAMES, Options, choices_of, read_options, repeatable_of
from ..errors import Sentence, said
from ..messages.help_texts import VALUE
from ..usecases.files import read_text
from .command_language import language_of_locale


def add_option_flags(command: argparse.ArgumentParser, names: Sequence[str] = NAMES) -> None:
    """Add a flag for each option, or for some of them."""
    group = command.add_argument_group(said("how to plan and mark"))
    for name in names:
        field = Options.model_fields[name]
        flag = f"--{name.replace('_', '-')}"
        if field.annotation is bool:
            group.add_argument(flag, dest=name, action="append_const", const="true", help=said(str(field.description)))
        else:
            group.add_argument(flag, dest=name, action="append", metavar=VALUE, help=_help(field))


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
    found.setdefault("language", [language_of_locale()])
    if "hand" in found:
        found["hand"] = [_hand(text) for text in found["hand"]]
    return found


def _hand(text: str) -> str:
    return hand_text(read_hand_file(read_text(text), text)) if text.lower().endswith(".toml") else text


def _help(field: FieldInfo) -> Sentence:
    words = choices_of(field)
    text = said(str(field.description))
    if words is not None:
        listed, default = ", ".join(words.values), words.word(field.get_default(call_default_factory=False))
        text = said("{meaning}: {words}", meaning=text, words=listed)
        if default:
            text = said("{meaning} (default: {default})", meaning=text, default=default)
    if field.examples:
        example = field.examples[0]
        shown = str(example[0] if isinstance(example, list) else example)
        text = said("{meaning}, for example {example}", meaning=text, example=shown)
    if repeatable_of(field) is not None:
        text = said("{meaning}; repeatable", meaning=text)
    if field is Options.model_fields["hand"]:
        text = said("{meaning}, or a TOML file that `handframe learn` wrote", meaning=text)
    if field is Options.model_fields["language"]:
        text = said("{meaning}; without it, that of the system", meaning=text)
    return text
