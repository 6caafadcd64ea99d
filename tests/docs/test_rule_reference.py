"""The rule reference says what the rules are today, and shows their fixtures."""

from __future__ import annotations

from pathlib import Path

from rules import all_rules
from tests.rule_reference import FIXTURES, PAGE, page


def test_the_page_is_fresh() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(all_rules(), FIXTURES), "write it anew: make docs"


def test_every_rule_outcome_and_option_is_on_the_page() -> None:
    text = page(all_rules(), FIXTURES)
    for rule in all_rules():
        section = text.split(f"\n## {rule.id}\n")[1].split("\n## ")[0]
        assert rule.title in section
        assert all(f"| `{code}` |" in section for code in rule.outcomes)
        assert all(f"| `{name}` |" in section for name in rule.options.__dataclass_fields__)


def test_examples_come_from_the_fixture(tmp_path: Path) -> None:
    rule = all_rules()[0]
    (tmp_path / f"{rule.id.replace('-', '_')}.yaml").write_text(
        'clean:\n  passage: "D4:1"\n  finds: []\nfaulty:\n  passage: "E5:4"\n  finds: [{found: 1}]\n', encoding="utf-8"
    )
    text = page((rule,), tmp_path)
    assert "Found: faulty\n\n```\nE5:4\n```" in text
    assert "Not found: clean\n\n```\nD4:1\n```" in text
