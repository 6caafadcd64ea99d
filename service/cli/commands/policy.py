"""The command `policy`: try a house's policy on the bars that it names itself."""

from __future__ import annotations

import argparse
from pathlib import Path

from ...usecases.files import read_text
from ..exit_codes import Exit


def add_arguments(policy: argparse.ArgumentParser) -> None:
    """Add the arguments of the command."""
    policy.description = (
        "Run the tests of a policy: each [[tests]] table names a score, some of its bars, and what is found there. "
        "Exit code 0: all as expected; 1: something else was found; 2: a score or the policy could not be read."
    )
    actions = policy.add_subparsers(title="actions", required=True, metavar="ACTION")
    test = actions.add_parser("test", help="run the tests of a policy")
    test.add_argument("policy", metavar="FILE", help="TOML file of a house")
    test.set_defaults(run=_test)


def _test(arguments: argparse.Namespace) -> Exit:
    from ...policies.policy_file import read_policy
    from ...usecases.checks.policy_expectations import run_policy_tests

    policy = read_policy(read_text(arguments.policy), arguments.policy)
    results = list(run_policy_tests(policy, str(Path(arguments.policy).parent)))
    for result in results:
        print(f"{'passed' if result.passed else 'FAILED'}  {result.where}")
        if result.fault:
            print(f"        {result.fault}")
        for expected in result.missing:
            print(f"        not found: {expected}")
        for finding in result.unexpected:
            print(f"        not expected: bar {finding.bars}: {finding.message} [{finding.rule}/{finding.outcome}]")
    failed = sum(not result.passed for result in results)
    print(f"tests: {len(results)}, failed: {failed}")
    if any(result.fault for result in results):
        return Exit.FAILED
    return Exit.FINDINGS if failed else Exit.CLEAN
