"""The command `policy`: try a house's policy on the bars that it names itself."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from ...errors import said
from ...messages import commands as words
from ...messages.findings import BAR, FINDING_AT
from ...messages.help_texts import FILE
from ...messages.message import Wording
from ...usecases.files import read_text
from ..arguments import add_language_flag
from ..command_language import spoken
from ..exit_codes import Exit

if TYPE_CHECKING:
    from ...usecases.checks.policy_expectations import PolicyTestResult


def add_arguments(policy: argparse.ArgumentParser) -> None:
    """Add the arguments of the command."""
    policy.description = said(
        "Run the tests of a policy: each [[tests]] table names a score, some of its bars, and what is found there. "
        "Exit code 0: all as expected; 1: something else was found; 2: a score or the policy could not be read."
    )
    actions = policy.add_subparsers(title=said("actions"), required=True, metavar=said("ACTION"))
    test = actions.add_parser("test", help=said("run the tests of a policy"))
    test.add_argument("policy", metavar=FILE, help=said("TOML file of a house"))
    add_language_flag(test)
    test.set_defaults(run=_test)


def _test(arguments: argparse.Namespace) -> Exit:
    from ...policies.policy_file import read_policy
    from ...usecases.checks.policy_expectations import run_policy_tests

    policy = read_policy(read_text(arguments.policy), arguments.policy)
    language = spoken(arguments)
    wording = Wording(language)
    results = list(run_policy_tests(policy, str(Path(arguments.policy).parent), language))
    verdicts = {True: wording.say(words.PASSED), False: wording.say(words.FAILED)}
    margin = max(map(len, verdicts.values())) + 2
    for result in results:
        print(f"{verdicts[result.passed]:<{margin}}{wording.text(result.where)}")
        for line in _differences(result, wording):
            print(" " * margin + line)
    failed = sum(not result.passed for result in results)
    print(wording.say(words.TESTS, tests=str(len(results)), failed=str(failed)))
    if any(result.fault for result in results):
        return Exit.FAILED
    return Exit.FINDINGS if failed else Exit.CLEAN


def _differences(result: PolicyTestResult, wording: Wording) -> Iterator[str]:
    """What was found instead of what the test expects."""
    if result.fault:
        yield wording.text(result.fault)
    for expected in result.missing:
        yield wording.say(words.NOT_FOUND, expected=expected)
    for each in result.unexpected:
        finding = wording.say(FINDING_AT, where=wording.say(BAR, bar=each.bars), finding=each.message)
        yield f"{wording.say(words.NOT_EXPECTED, finding=finding)} [{each.rule}/{each.outcome}]"
