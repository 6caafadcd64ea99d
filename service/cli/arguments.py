"""The parser of arguments, which speaks the language of its user; argparse itself speaks English.

Names of commands, options and values are the same in every language.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from ..errors import Sentence, said
from ..language import Language

if TYPE_CHECKING:
    from ..messages.message import Wording

LANGUAGES = ", ".join(Language)
OF_ARGPARSE = (
    said("usage: "),
    said("options"),
    said("positional arguments"),
    said("show this help message and exit"),
    said("show program's version number and exit"),
    said("%(prog)s: error: %(message)s\n"),
    said("argument %(argument_name)s: %(message)s"),
    said("the following arguments are required: %s"),
    said("unrecognized arguments: %s"),
    said("ambiguous option: %(option)s could match %(matches)s"),
    said("expected one argument"),
    said("expected at least one argument"),
    said("invalid %(type)s value: %(value)r"),
    said("invalid choice: %(value)r (choose from %(choices)s)"),
    said("ignored explicit argument %r"),
)
"""What argparse says of its own accord when these commands are called; a test reads its source."""


class Parser(argparse.ArgumentParser):
    """A parser that fails if its help cannot be written."""

    def print_help(self, file: Any = None) -> None:
        """Write the help to a file, or to standard output."""
        (file or sys.stdout).write(self.format_help())


def add_language_flag(command: argparse.ArgumentParser) -> None:
    """Add `--language` to a command that has no other option of a plan."""
    text = said("language of messages: {languages}; default: that of the system", languages=LANGUAGES)
    command.add_argument("--language", choices=list(Language), metavar=said("VALUE"), help=text)


def joined(sentences: Sequence[Sentence]) -> Sentence:
    """Return several texts as one, with commas between them."""
    text = sentences[0]
    for other in sentences[1:]:
        text = said("{first}, {other}", first=text, other=other)
    return text


@contextmanager
def speaking(parser: argparse.ArgumentParser, wording: Wording) -> Iterator[None]:
    """Put the texts of a parser and of its commands into a language, and meanwhile those of argparse."""

    def text(english: str) -> str:
        return wording.text(_sentence(english))

    _translate(parser, text)
    own = argparse._  # type: ignore[attr-defined]  # where gettext stands
    argparse._ = text  # type: ignore[attr-defined]
    try:
        yield
    finally:
        argparse._ = own  # type: ignore[attr-defined]


def _translate(parser: argparse.ArgumentParser, text: Callable[[str], str]) -> None:
    parser.description = parser.description and text(parser.description)
    for group in parser._action_groups:
        if group.title is not None:  # argparse puts the colon itself; French has a space before it
            group.title = text(said("{heading}:", heading=_sentence(group.title))).removesuffix(":")
    for action in parser._actions:
        _translate_action(action, text)
        if isinstance(action, argparse._SubParsersAction):
            for listed in action._choices_actions:
                _translate_action(listed, text)
            for command in action.choices.values():
                _translate(command, text)


def _sentence(english: str) -> Sentence:
    return english if isinstance(english, Sentence) else said(english)


def _translate_action(action: argparse.Action, text: Callable[[str], str]) -> None:
    action.help = action.help and text(action.help)
    if isinstance(action.metavar, Sentence):
        action.metavar = text(action.metavar)
