"""Policies as houses write them: what is read, what is refused and how, and where it holds."""

from __future__ import annotations

import pytest

from rules import LEVELS, Severity, ShiftKind, all_rules
from service.cli.main import main
from service.errors import ScoreError
from service.policies.policy_file import BUILT_IN, HousePolicy, built_in, read_policy
from tests.conftest import ROOT

HOUSE = """
name = "Book 2"
level = "first-and-third"
shifts = ["over a rest", "over an open string"]
instrument = "viola"
parts = ["P2"]
fail_on = "note"

[marks]
shifts = "finger"
home = true
reason = "every shift is marked"

[rules.held-open-string]
severity = "error"
options = { seconds = 3 }
reason = "a singing book"

[[exceptions]]
file = "*_duet.musicxml"
rule = "string-skip"
part = "Viola"
bars = "5-8"
reason = "the composer wants it"

[[folders]]
path = "book_1"
level = "first"
fail_on = "error"
[folders.rules.held-open-string]
enabled = false
reason = "open strings ring in book 1"
"""


def options_of(house: HousePolicy, id: str) -> object:
    return next(rule.options for rule in house.rules if rule.id == id)


def test_a_policy_says_level_shifts_marks_rules_and_threshold() -> None:
    house = read_policy(HOUSE, "house.toml").for_file("book_2/waltz.musicxml")
    assert house.policy.level.positions == {1, 3}
    assert house.policy.level.shifts == {ShiftKind.REST, ShiftKind.OPEN_STRING}
    assert house.policy.fail_on is Severity.NOTE
    assert (house.instrument, house.parts) == ("viola", ("P2",))
    assert options_of(house, "held-open-string").seconds == 3.0  # type: ignore[attr-defined]
    held = next(rule for rule in house.rules if rule.id == "held-open-string")
    assert held.outcomes["held"].severity is Severity.ERROR
    unmarked = next(rule for rule in house.rules if rule.id == "unmarked-shift")
    assert unmarked.options.needs == "finger"
    assert unmarked.options.home
    assert {outcome.severity for outcome in unmarked.outcomes.values()} == {Severity.ERROR}


def test_a_folder_overrides_and_keeps_the_rest() -> None:
    house = read_policy(HOUSE, "house.toml").for_file("catalogue/book_1/tune.musicxml")
    assert house.policy.level == LEVELS["first"]
    assert house.policy.fail_on is Severity.ERROR
    assert "held-open-string" not in {rule.id for rule in house.rules}
    assert house.instrument == "viola"


def test_an_exception_holds_in_its_files_only() -> None:
    policy = read_policy(HOUSE, "house.toml")
    (exemption,) = policy.for_file("a/b_duet.musicxml").policy.exemptions
    assert (exemption.rule, exemption.part, exemption.bars) == ("string-skip", "Viola", ("5", "8"))
    assert policy.for_file("a/b_trio.musicxml").policy.exemptions == ()


@pytest.mark.parametrize("name", BUILT_IN)
def test_built_in_policies_stand_for_the_levels(name: str) -> None:
    house = built_in(name).for_file("any.musicxml")
    assert house.policy.level == LEVELS.get(name, LEVELS["all"])
    assert house.policy.summary
    assert all(setting.reason for setting in house.policy.settings.values())
    assert {rule.id for rule in house.rules} <= {rule.id for rule in all_rules()}


def test_a_house_builds_on_a_level() -> None:
    house = read_policy('extends = "first"\nname = "ours"', "ours.toml").for_file("x")
    assert house.policy.name == "ours"
    assert house.policy.level == LEVELS["first"]
    assert "note-above-first-position" not in {rule.id for rule in house.rules}


FAULTS = {
    'levl = "first"': r"no key 'levl'.*policy house.toml, line 1.*Did you mean level\?",
    '[rules.held-open-sting]\nreason = "r"': r"no rule 'held-open-sting'.*Did you mean held-open-string\?",
    "[rules.held-open-string]\nenabled = false": r"a reason is missing.*line 1",
    '[rules.held-open-string]\nreason = "r"\noptions = { secondz = 2 }': r"no option 'secondz'.*Did you mean seconds\?",
    '[rules.held-open-string]\nreason = "r"\noptions = { seconds = "2" }': r"'2' cannot be its value.*Give a number",
    '[rules.held-open-string]\nreason = "r"\nseverity = { helt = "note" }': r"no outcome 'helt'.*Did you mean held\?",
    '[rules.held-open-string]\nreason = "r"\nseverity = "fatal"': r"'fatal' is not possible.*note, warning, error",
    '[rules.held-open-string]\nreason = "r"\nseverty = "note"': r"no key 'severty'.*Did you mean severity\?",
    'level = "frist"': r"'frist' is not possible.*Did you mean first\?",
    "positions = [99]": r"positions.*not possible.*for example \[1, 3\]",
    'positions = ["third"]': r"positions.*not possible",
    'shifts = ["over rest"]': r"'over rest' is not possible.*Did you mean over a rest\?",
    'marks = { shifts = "all", reason = "r" }': r"'all' is not possible.*none, any, finger, position",
    '[[exceptions]]\nreason = "r"\nrule = "string-skp"': r"no rule 'string-skp'.*Did you mean string-skip\?",
    '[[exceptions]]\nrule = "string-skip"': r"exceptions\[0\]: a reason is missing",
    '[[folders]]\nlevel = "first"': r"folders\[0\]\.path: this key is missing.*line 1.*Write path",
    '[[folders]]\npath = "x"\nlevel = "fist"': r"'fist' is not possible",
    'folders = "x"': r"not a list of tables",
    'extends = "frist"': r"'frist' is not possible",
    "fail_on = 3": r"3 is not possible",
    "level = = 1": r"not valid TOML.*line 1",
    'instrument = "cello"': r"'cello' is not possible",
}


@pytest.mark.parametrize("text", FAULTS)
def test_what_is_wrong_is_named_with_what_is_possible(text: str) -> None:
    with pytest.raises(ScoreError, match=FAULTS[text]):
        read_policy(text, "house.toml")


def test_the_line_is_that_of_the_key_in_its_own_table() -> None:
    text = HOUSE.replace('level = "first"\n', 'level = "fist"\n')
    wanted = next(number for number, line in enumerate(text.splitlines(), start=1) if line == 'level = "fist"')
    with pytest.raises(ScoreError, match=rf"folders\[0\]\.level: 'fist' is not possible.*line {wanted}\)"):
        read_policy(text, "house.toml")
    text = HOUSE + '[[folders]]\npath = "book_2"\n[folders.rules."string-skip"]\nenabled = 1\nreason = "r"\n'
    wanted = len(text.splitlines()) - 1
    with pytest.raises(ScoreError, match=rf"folders\[1\]\.rules\.string-skip\.enabled: 1 is neither.*line {wanted}\)"):
        read_policy(text, "house.toml")


@pytest.mark.parametrize(
    ("positions", "possible"), [("[0, 18]", True), ("[19]", False), ("[-1]", False), ("[]", False)]
)
def test_positions_of_a_policy_end_with_the_fingerboard(positions: str, possible: bool) -> None:
    if possible:
        assert read_policy(f"positions = {positions}", "p").for_file("x").policy.level.positions == {0, 18}
    else:
        with pytest.raises(ScoreError, match=r"positions: .* is not possible.*from 0 \(half position\) to 18"):
            read_policy(f"positions = {positions}", "p")


def test_a_later_level_brings_its_own_positions_and_the_rest_is_kept() -> None:
    text = 'extends = "first"\nsummary = "ours"\npositions = [1, 2]\n[[folders]]\npath = "b"\nlevel = "to-fifth"\n'
    policy = read_policy(text, "ours.toml")
    assert policy.for_file("a/x").policy.level.positions == {1, 2}
    folder = policy.for_file("b/x").policy
    assert (folder.level, folder.summary, folder.name) == (LEVELS["to-fifth"], "ours", "first position")


def test_an_unknown_built_in_policy_names_the_nearest() -> None:
    with pytest.raises(ScoreError, match=r"no policy 'frist'.*Did you mean first\?"):
        built_in("frist")


def test_the_policy_of_the_invented_course_reads() -> None:
    path = ROOT / "sample_scores" / "policies" / "rowing_school.toml"
    policy = read_policy(path.read_text(encoding="utf-8"), path.name)
    assert policy.for_file("sample_scores/first_bench.musicxml").policy.level == LEVELS["first"]
    assert policy.for_file("sample_scores/ferry_waltz.musicxml").policy.level.positions == {1, 3}


def test_every_exception_of_the_invented_course_accepts_a_finding(capsys: pytest.CaptureFixture[str]) -> None:
    policy = ROOT / "sample_scores" / "policies" / "rowing_school.toml"
    main(["review", str(ROOT / "sample_scores"), "--policy", str(policy), "--format", "lines"])
    told = capsys.readouterr()
    assert "matches no finding" not in told.err
    exceptions = read_policy(policy.read_text(encoding="utf-8"), policy.name).body.exceptions
    assert len(exceptions) > 1
    for exception in exceptions:
        assert exception.reason in told.out
