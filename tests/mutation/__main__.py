"""Mutation testing of one package of `rules` at a time: `python -m tests.mutation hand`, or a sample: `--tenths 2`.

mutmut (PyPI) changes one operator, name or number inside a function at a time and runs the tests of the package that
call this function. The tests should fail for at least 85 % of the changes. The golden tests take no part: they would
notice nearly everything, and say of nothing what is wrong. Module-level constants and defaults of options are changed
by `tests.mutation.constants`, since mutmut changes functions only.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import shutil
import subprocess
import sys
from collections import Counter
from pathlib import Path

from mutmut.mutation.diff_apply import get_diff_for_mutant

ROOT = Path(__file__).resolve().parents[2]
WORK = ROOT / "build" / "mutants"
LEAST = 85
"""Per cent of the changes that the tests have to notice."""

TESTS = {
    "hand": [
        "grip",
        "frame",
        "chords",
        "harmonics",
        "technique",
        "technique_grips",
        "required_level",
        "beyond_level",
        "decisions",
    ],
    "plan": [
        *(
            "plan",
            "printing",
            "read_marks",
            "counted_figures",
            "finger_pattern",
            "fingerboard",
            "difficulty",
            "violations",
        ),
        *("decisions", "words_in_force"),
    ],
    "check": ["policy", "answers", "causes", "own_choices"],
    "search": ["planner", "route_search", "difficulty", "alternatives", "note_choices"],
    "cost": ["circumstances", "passage_costs", "terms", "fingering_hand", "difficulty", "route_search", "explanation"],
    "proposal": ["proposal", "verdict", "repeats", "repeat_ends", "alternatives", "explanation", "note_choices"],
}
"""Tests in `tests/unit` by package."""

MORE = {
    "hand": ["tests/reference/test_trade_facts.py"],
    "check": ["tests/catalogue"],
    "search": [f"tests/reference/test_{name}.py" for name in ("best_routes", "shortest_path", "consensus", "learning")],
    "cost": [f"tests/reference/test_{name}.py" for name in ("planner_exact", "best_routes")],
}
"""Other tests by package."""

CONFIGURATION = """
[tool.mutmut]
source_paths = ["rules/"]
only_mutate = ["rules/{package}/*"]
also_copy = ["service/", "sample_scores/"]
pytest_add_cli_args = ["-k", "not sample"]
pytest_add_cli_args_test_selection = {tests}
timeout_multiplier = 60.0
timeout_constant = 30.0

[tool.pytest.ini_options]
addopts = ["--import-mode=importlib", "-p", "no:cacheprovider"]
pythonpath = ["."]
"""

DIGITS = "3719504628"
"""Last digits of the numbers of the changes, in the order in which a sample takes them."""

NOTICED = {1, 3, 24, -24, 36, -9, -11, 152, 255}
"""Exit codes of a run that noticed a change: a test failed, or the run crashed or did not come to an end."""


def tests_of(package: str) -> list[str]:
    """Return the paths of the tests for a package."""
    named = [f"tests/unit/test_{name}.py" for name in TESTS[package]]
    return [path for path in (*named, *MORE.get(package, [])) if (ROOT / path).exists()]


def prepare(package: str) -> Path:
    """Copy what the tests of a package need to a folder of its own."""
    folder = WORK / package
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    for name in ("rules", "service", "tests", "sample_scores"):
        shutil.copytree(
            ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__", "node_modules", "page")
        )
    configuration = CONFIGURATION.format(package=package, tests=json.dumps(tests_of(package)))
    (folder / "pyproject.toml").write_text(configuration, encoding="utf-8")
    return folder


def outcomes(folder: Path, package: str) -> dict[str, int]:
    """Return the exit code of the tests by mutant, of those that were tried."""
    found: dict[str, int | None] = {}
    for path in sorted((folder / "mutants" / "rules" / package).rglob("*.meta")):
        found |= json.loads(path.read_text(encoding="utf-8"))["exit_code_by_key"]
    return {name: code for name, code in found.items() if code is not None}


def report(folder: Path, package: str) -> int:
    """Print the survivors and the share of noticed changes; return 1 if that is too small."""
    found = outcomes(folder, package)
    survivors = sorted(name for name, code in found.items() if code not in NOTICED)
    for name in survivors:
        with contextlib.chdir(folder):
            text = get_diff_for_mutant(name, path=Path(*name.rpartition(".")[0].split(".")).with_suffix(".py"))
        changed = [line for line in text.splitlines() if line[:1] in "+-" and line[:3] not in ("+++", "---")]
        print(name, *changed, sep="\n    ")
    by_module = Counter(name.rpartition(".")[0] for name in survivors)
    for module, count in sorted(by_module.items()):
        print(f"{module}: {count} of {sum(name.startswith(f'{module}.') for name in found)} unnoticed")
    share = 100 * (len(found) - len(survivors)) / max(len(found), 1)
    print(f"{package}: {len(found) - len(survivors)} of {len(found)} changes noticed: {share:.1f} %")
    return int(share < LEAST)


def main() -> int:
    """Test the tests of the named packages, or of all."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation")
    parser.add_argument("packages", nargs="*", choices=[*TESTS, []], metavar="PACKAGE", help=", ".join(TESTS))
    parser.add_argument("--tenths", type=int, default=10, help="how many tenths of the changes to try (default: all)")
    arguments = parser.parse_args()
    names = f"*__mutmut_*[{DIGITS[: arguments.tenths]}]"
    worst = 0
    for package in arguments.packages or TESTS:
        folder = prepare(package)
        environment = {**os.environ, "PYTHONPATH": str(folder)}
        command = [sys.executable, "-m", "mutmut", "run", *([names] if arguments.tenths < len(DIGITS) else [])]
        subprocess.run(command, cwd=folder, env=environment, check=False)
        worst = max(worst, report(folder, package))
    return worst


if __name__ == "__main__":
    sys.exit(main())
