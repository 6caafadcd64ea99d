"""The rule reference says what the rules are today, and shows their fixtures."""

from __future__ import annotations

from pathlib import Path

from rules import all_rules
from tests.engraved_example import example_score, picture, source_of
from tests.rule_reference import FIXTURES, PAGE, PICTURES, page, stale_pictures, wanted_pictures


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
    name = rule.id.replace("-", "_")
    assert f"Found: faulty\n\n![faulty](pictures/{name}.found.svg)\n\n```\nE5:4\n```" in text
    assert f"Not found: clean\n\n![clean](pictures/{name}.clean.svg)\n\n```\nD4:1\n```" in text


def test_every_picture_is_there_and_of_today() -> None:
    assert stale_pictures(all_rules(), FIXTURES, PICTURES) == [], "draw them anew: make docs"
    assert len(wanted_pictures(all_rules(), FIXTURES)) == 2 * len(all_rules())


def test_a_picture_of_another_case_is_stale(tmp_path: Path) -> None:
    wanted = wanted_pictures(all_rules()[:1], FIXTURES)
    for name, case in wanted.items():
        (tmp_path / name).write_text(picture(case), encoding="utf-8")
    assert stale_pictures(all_rules()[:1], FIXTURES, tmp_path) == []
    changed = next(iter(wanted))
    (tmp_path / changed).write_text(
        picture(wanted[changed] | {"passage": "D4:1 E4:1", "stops": "D0 D1"}), encoding="utf-8"
    )
    (tmp_path / "left_over.svg").write_text("<svg/>", encoding="utf-8")
    assert stale_pictures(all_rules()[:1], FIXTURES, tmp_path) == sorted([changed, "left_over.svg"])


def test_a_picture_shows_every_note_of_its_case() -> None:
    for name, case in list(wanted_pictures(all_rules(), FIXTURES).items())[:8]:
        svg = (PICTURES / name).read_text(encoding="utf-8")
        assert svg.count('class="notehead"') == example_score(case).count("<pitch>"), source_of(case)
