"""Start a rule: `make rule ID=long-low-note` writes its module and its fixture, which fail until they are filled in."""

from __future__ import annotations

import argparse
import re
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent

MODULE = '''"""{title}."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from rules.plan.plan import Plan
from rules.check.rule import Finding, Outcome, Rule, Scope, Severity

WHY = """Say why this matters to a player, and where that is written."""


@dataclass(frozen=True, slots=True)
class Options:
    """What counts as the fault."""

    seconds: Annotated[float, "say what the number means"] = 1.0


def check(plan: Plan, options: Options) -> Iterator[Finding]:
    """Say what is reported, and what is left alone."""
    raise NotImplementedError("find the fault in the plan and yield RULE.found(...)")


RULE = Rule(
    id="{identifier}",
    title="{title}",
    rationale=WHY,
    scope=Scope.BOTH,
    options=Options(),
    check=check,
    outcomes={{"found": Outcome("say what was found, with $facts", Severity.NOTE)}},
)
'''

FIXTURE = """# {title}. One case finds each outcome, one finds nothing.
found where it should be:
  passage: "E5:1 B5:2"
  finds: [{{found: 2}}]

nothing where it should not be:
  passage: "D4:1 E4:1"
  finds: []
"""


def start_rule(identifier: str, root: Path = ROOT) -> tuple[Path, Path]:
    """Write the module and the fixture of a new rule and return their paths.

    Raises:
        ValueError: if the id is not words in small letters with hyphens between them.
        FileExistsError: if the rule is there already; nothing is written then.
    """
    if not re.fullmatch(r"[a-z]+(-[a-z]+)+", identifier):
        raise ValueError(f"{identifier!r} is not a rule id: name the fault in small letters, as in held-open-string")
    name = identifier.replace("-", "_")
    title = identifier.replace("-", " ").capitalize()
    module, fixture = (
        root / "rules" / "check" / "catalogue" / f"{name}.py",
        root / "tests" / "catalogue" / f"{name}.yaml",
    )
    for path in (module, fixture):
        if path.exists():
            raise FileExistsError(f"{path.relative_to(root)} is there already: a rule's id is for ever")
    for path, text in ((module, MODULE), (fixture, FIXTURE)):
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text.format(identifier=identifier, title=title), encoding="utf-8")
    return module, fixture


def main(arguments: list[str] | None = None) -> int:
    """Run the command and return its exit code: 0 written, 2 refused."""
    parser = argparse.ArgumentParser(prog="make rule", description="Start a rule of the catalogue.")
    parser.add_argument("identifier", help="names the fault, as in held-open-string")
    try:
        written = start_rule(parser.parse_args(arguments).identifier)
    except (ValueError, FileExistsError) as refusal:
        sys.stderr.write(f"{refusal}\n")
        return 2
    sys.stdout.write("".join(f"{path.relative_to(ROOT)}\n" for path in written))
    return 0


if __name__ == "__main__":
    sys.exit(main())
