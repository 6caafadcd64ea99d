"""Commands, publishers' reports and errors in a language of accents: no English word is left in them.

What is typed or read by programs is the same in every language: names of commands, options and their values, rules,
levels, codes, keys of a policy, names of files. So are the words of other programs: the XML and TOML parsers, git.
"""

from __future__ import annotations

import json
import multiprocessing
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import suppress
from html import unescape
from pathlib import Path

import pytest
from lxml import etree

from rules import INSTRUMENTS, LEVELS, SCALES, Concern, Severity, all_rules
from service.cli.main import COMMANDS, main
from service.config.options import Options, choices_of, read_options
from service.config.settings import SettingError, Settings, read_settings
from service.config.sheet_options import SheetOptions, read_sheet_options
from service.errors import ScoreError
from service.http.problems import MEANINGS
from service.http.routes.reference_pages import problem_page
from service.messages.message import Wording
from service.policies.policy_file import BUILT_IN, read_policy
from service.policies.policy_model import PolicyText
from service.reports.formats import FORMATS
from service.usecases.checks import killable_processes
from tests.conftest import ROOT
from tests.misprints.printed_scores import printed_score
from tests.pseudo_language import PSEUDO, remnants, spoken

SAMPLES = sorted(str(path) for path in (ROOT / "sample_scores").iterdir() if path.suffix in (".mxl", ".musicxml"))
WALTZ = str(ROOT / "sample_scores" / "ferry_waltz.musicxml")
PLAYERS = ("text", "json")
"""Formats for players, which test_pseudo_language.py looks at."""
TUNE = '"III. Lage" D5{1} E5 F5 A4{o} | "1st pos." B4 C5 D5 E5{0} | B4 C5 "IV" B3 A3'
CHOICES = [word for field in Options.model_fields.values() if (words := choices_of(field)) for word in words.values]
NAMES = " ".join(
    [
        "handframe musicxml marked practice html mid midi toml json SCORES NAME EXT PART git stdin Ctrl MusicXML kern",
        "Humdrum ABC MEI MIDI TOML JSON XML HTML SVG PDF UTF SARIF JUnit HTTP RFC dask distributed pip install scale",
        "scheduler tcp http https example editor school music localhost embed docs META INF container score partwise",
        "timewise first third prog string position finger key note pitch part such Violin Viola Violini True False",
        "progressive card full page true false reason tests policy test hand standard shifts tone shorter fit row bars",
        "None Match quarter open held proof over rest bow change slur under division divisions backup scordatura",
        "scores pos rule file URL int path any numeral number levl unheard",
        *COMMANDS, *FORMATS, *LEVELS, *INSTRUMENTS, *SCALES, *CHOICES, *BUILT_IN, *MEANINGS, *Concern,
        *(severity.word for severity in Severity), *(rule.id for rule in all_rules()),
        *(code for rule in all_rules() for code in rule.outcomes),
        *(name for rule in all_rules() for name in rule.options.__dataclass_fields__),
        *(name.replace("_", "-") for fields in (Options, SheetOptions, Settings, PolicyText)
          for name in fields.model_fields),
        *(Path(name).stem.replace("_", " ") for name in SAMPLES),
    ]
)  # fmt: skip
_TYPED = re.compile(
    r"`[^`]*`|--[a-z-]+|\[[a-z/-]+\]|\w+://\S+|HANDFRAME_\w+|[\w./-]+\.(?:musicxml|mxl|toml|txt|html|css)"
)


_WORDS = NAMES.split()
_WHOLE = re.compile(
    "|".join(re.escape(name).replace(r"\-", "[-_]") for name in sorted(_WORDS, key=len, reverse=True) if "-" in name)
)
"""Names of several words; a word of them alone is English."""
_SINGLE = " ".join(name for name in _WORDS if "-" not in name)


def plain_english(text: str) -> list[str]:
    """The English words of a text, without what is typed."""
    return remnants(_WHOLE.sub(" ", _TYPED.sub(" ", text)), _SINGLE)


def test_a_word_of_a_name_is_found_where_it_stands_alone() -> None:
    assert plain_english("[not-found] held-open-string first-and-third --write-baseline") == []
    assert plain_english("not found, string-skip") == ["not", "found"]


@pytest.fixture(autouse=True, scope="module")
def catalogues(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    with spoken(tmp_path_factory.mktemp("pseudo")):
        yield


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """A folder with a policy, a score that it finds fault with, one without a part for us, and a broken one."""
    (tmp_path / "tune.musicxml").write_bytes(printed_score(TUNE))
    (tmp_path / "torn.musicxml").write_bytes(b"<score-partwise>")
    other = Path(WALTZ).read_text(encoding="utf-8").replace("Violin", "Flute").replace("violin", "flute")
    (tmp_path / "other.musicxml").write_text(other, encoding="utf-8")
    (tmp_path / "house.toml").write_text(
        'name = "proof"\nextends = "first"\nfail_on = "note"\n[conventions]\nopen_string = "0"\nstrings = "numeral"\n'
        'position_words = ["# pos."]\nseverity = "error"\nreason = "—"\n[[exceptions]]\nrule = "string-skip"\n'
        'reason = "—"\n[[exceptions]]\nrule = "house-convention"\nbars = "3"\nreason = "—"\n[[exceptions]]\n'
        'reason = "—"\nfile = "nowhere.musicxml"\n[[tests]]\nfile = "tune.musicxml"\nbars = "1"\n'
        'finds = ["mark-not-understood"]\n[[tests]]\nfile = "tune.musicxml"\npart = "P9"\nfinds = []\n[[tests]]\n'
        'file = "tune.musicxml"\nbars = "77"\nfinds = []\n[[tests]]\nfile = "gone.musicxml"\nfinds = []\n'
    )
    return tmp_path


def _shown(format: str, text: str) -> str:
    """What people read of a report: programs read the rest of the formats for programs."""
    if format == "html":
        text = re.sub(r"<(svg|style)\b.*?</\1>", " ", text, flags=re.DOTALL)
        labels = " ".join(re.findall(r'aria-label="([^"]*)"', text))
        return unescape(re.sub(r"<[^>]*>", " ", text)) + labels
    if format == "sarif":
        return " ".join(_texts(json.loads(text)["runs"]))
    if format == "junit":
        root = etree.fromstring(text.encode())
        names = [element.get(key) or "" for element in root.iter() for key in ("name", "message")]
        return " ".join([*names, *("".join(element.itertext()) for element in root)])
    if format == "annotations":
        return " ".join(re.sub(r"^::\w+ file=[^,:]*(,line=\d+)?(,title=)?", "", line) for line in text.splitlines())
    return text.replace("\\", "")


def _texts(value: object, name: str = "") -> Iterator[str]:
    if isinstance(value, dict):
        for key, each in value.items():
            if key != "tool" or not isinstance(each, dict):
                yield from _texts(each, key)
            else:
                yield from _texts(each["driver"]["rules"], key)
    elif isinstance(value, list):
        for each in value:
            yield from _texts(each, name)
    elif isinstance(value, str) and name in ("text", "justification", "fullyQualifiedName"):
        yield value


@pytest.mark.parametrize(
    "format",
    [pytest.param(each, marks=() if each == "html" else pytest.mark.long) for each in FORMATS if each not in PLAYERS],
)
def test_no_report_for_a_publisher_has_english_in_it(format: str, house: Path) -> None:
    scores = [*SAMPLES, *(str(house / name) for name in ("tune.musicxml", "torn.musicxml", "other.musicxml"))]
    common = ["review", *scores, "--language", PSEUDO.value, "--most", "2"]
    asked = [*common, "--format", format, "--policy", str(house / "house.toml"), "-o", str(house / "report")]
    # A process of its own: where workers were started before, they speak the language of that time.
    done = subprocess.run(
        [sys.executable, "-m", "service.cli", *asked], capture_output=True, text=True, check=False, cwd=ROOT
    )
    report = (house / "report").read_text(encoding="utf-8")
    assert len(report) > 400
    assert plain_english(_shown(format, report)) == []
    assert plain_english(done.stderr) == []


@pytest.mark.long
def test_the_baseline_and_what_matches_it_no_more_are_told_without_english(
    house: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tune, known = str(house / "tune.musicxml"), house / "known.txt"
    common = ["review", tune, "--language", PSEUDO.value, "--format", "lines", "--policy", str(house / "house.toml")]
    main([*common, "--write-baseline", str(known)])
    head, *lines = known.read_text(encoding="utf-8").splitlines()
    assert lines
    assert plain_english(" ".join(line.split("\t")[2] for line in lines)) == []
    known.write_text(f"{head}\n" + "\n".join(lines) + "\n" + lines[0].replace("tune", "gone")[:-1].replace("0", "1"))
    (house / "tune.musicxml").write_bytes(printed_score("D5 E5 F5 A4"))
    main([*common, "--baseline", str(known)])
    told = capsys.readouterr()
    assert len(told.err.splitlines()) >= 2
    assert plain_english(told.out + told.err) == []


OTHERS = [each for each in (*COMMANDS, "policy test") if each != "review"]


@pytest.mark.parametrize("command", ["", "review", *(pytest.param(each, marks=pytest.mark.long) for each in OTHERS)])
def test_no_help_has_english_in_it(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main([*command.split(), "--help", f"--language={PSEUDO}"])
    text = capsys.readouterr().out
    text = re.sub(r"(?<=\w-)\n\s+", "", text)  # names are broken at their dashes
    assert len(text) > 200
    assert plain_english(text) == []


@pytest.mark.parametrize(
    "arguments",
    [
        ["annotate", "WALTZ"],
        ["annotate", "WALTZ", "--level", "first"],
        ["practice", "WALTZ", "-o", "sheet.html"],
        ["practice", "--set", "progressive", "--key", "D", "-o", "set.musicxml"],
        ["practice", str(ROOT / "sample_scores" / "lantern_quartet.musicxml"), "-o", "quartet.musicxml"],
        ["policy", "test", "house.toml"],
        ["weights"],
        ["weights", "--level", "all"],
        ["review", "WALTZ", "torn.musicxml", "--format", "json", "-o", "report.json"],
        ["annotate", "gone.musicxml"],
        ["annotate", "."],
        ["annotate", "torn.musicxml"],
        ["annotate", "WALTZ", "-o", "WALTZ"],
        ["annotate", "WALTZ", "-o", "score.pdf"],
        ["annotate", "WALTZ", "-o", ""],
        ["annotate", "WALTZ", "-o", "a", "--plan", "a"],
        ["annotate", "WALTZ", "--in-place", "-o", "a"],
        ["annotate", "WALTZ", "-o", "gone/score.musicxml"],
        ["annotate", "WALTZ", "--server", "http://127.0.0.1:1"],
        ["annotate", "WALTZ", "--level", "frist"],
        ["annotate", "WALTZ", "--level", "first", "--level", "all"],
        ["annotate", "WALTZ", "--tempo", "1"],
        ["annotate", "WALTZ", "--positions", "99"],
        ["annotate", "WALTZ", "--pin", "x"],
        ["annotate", "WALTZ", "--hand", "x"],
        ["annotate", "WALTZ", "--hand", "house.toml"],
        ["annotate", "WALTZ", "--part", "Nobody"],
        ["annotate", "WALTZ", "--instrument", "viola"],
        ["annotate", "WALTZ", "--measures", "900"],
        ["annotate", "WALTZ", "--notation", "abc"],
        ["annotate", "WALTZ", "--tune", "3"],
        ["annotate"],
        ["annotate", "WALTZ", "--lev"],
        ["annotate", "WALTZ", "--unheard"],
        ["review"],
        ["review", "WALTZ", "--jobs", "0"],
        ["review", "WALTZ", "--most", "-1"],
        ["review", "WALTZ", "--seconds", "0"],
        ["review", "WALTZ", "--jobs", "many"],
        ["review", "WALTZ", "--format", "prose"],
        ["review", "WALTZ", "--policy", "frist"],
        ["review", "WALTZ", "--policy", "unheard"],
        ["review", "WALTZ", "--baseline", "house.toml"],
        ["review", "WALTZ", "--cluster", "nowhere"],
        ["review", "WALTZ", "--resume", "house.toml"],
        ["review", "--staged"],
        ["practice", "WALTZ", "--set", "progressive"],
        ["practice", "WALTZ", "--key", "D"],
        ["practice", "--set", "progressive", "--most", "3"],
        ["practice", "--set", "progressive", "--key", "X"],
        ["practice", "--set", "progressive", "--key", "F#"],
        ["practice", "WALTZ", "--proposal", "99"],
        ["practice", "WALTZ", "--exercises", "0"],
        ["practice", "WALTZ", "--form", "square"],
        ["practice", "WALTZ", "--week", "perhaps"],
        ["practice", "WALTZ", "--heading", "x" * 200],
        ["chart", "--position", "x"],
        ["chart", "--position", "99"],
        ["chart", "--key", "X"],
        ["chart", "--notes", "x"],
        ["chart", "--instrument", "oboe"],
        ["clean", "gone.musicxml"],
        ["clean", "house.toml"],
        ["learn", "gone"],
        ["learn", "."],
        ["watch", "gone"],
        ["serve", "--port", "x"],
        ["serve", "--seconds", "0"],
        ["serve", "--hosts", "a/b"],
        ["serve", "--host", "192.0.2.1"],
        ["unheard"],
    ],
    ids=lambda arguments: "_".join(Path(each).name[:20] for each in arguments),
)
@pytest.mark.long
def test_no_line_of_a_command_has_english_in_it(
    arguments: list[str], house: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(house)
    monkeypatch.setenv("LC_ALL", f"{PSEUDO}_DE.UTF-8")
    # A server of processes that was started before this language was spoken would not speak it.
    monkeypatch.setattr(killable_processes, "_context", lambda: multiprocessing.get_context("spawn"))
    (house / "waltz.musicxml").write_bytes(Path(WALTZ).read_bytes())
    with suppress(SystemExit):
        main(["waltz.musicxml" if each == "WALTZ" else each for each in arguments])
    told = capsys.readouterr()
    text = told.out + told.err
    given = " ".join(arguments)
    assert text
    assert [word for word in plain_english(text) if word not in given] == [] or _of_others(text)


def _of_others(text: str) -> bool:
    """Whether a text quotes another program: the XML parser on a torn file, git outside a repository, dask."""
    return any(word in text for word in ("Premature end", "fatal:", "not a git", "missing port", "timed out"))


POLICIES = [
    "x =",
    "x = 1",
    'level = "frist"',
    'level = "unheard"',
    "positions = 3",
    "[rules.string-skp]",
    '[rules.string-skip]\nseverity = "bad"\nreason = "—"',
    '[rules.string-skip]\nseverity = { x = "error" }\nreason = "—"',
    '[rules.string-skip]\noptions = { x = 1 }\nreason = "—"',
    '[rules.fingering-density]\noptions = { most = "x" }\nreason = "—"',
    '[rules.fingering-density]\noptions = { fewest_notes = 0.5 }\nreason = "—"',
    '[rules.house-convention]\noptions = { languages = "x" }\nreason = "—"',
    '[rules.house-convention]\noptions = { strings = "x" }\nreason = "—"',
    "[rules.string-skip]\nenabled = 3\nreason = '—'",
    "[rules.string-skip]\nenabled = true",
    "[hand]\nx = 1",
    "[hand]\nshifts = 99",
    "rules = 3",
    "exceptions = 3",
    "parts = 3",
    "name = 3",
    "[[folders]]\nlevel = 'all'",
    "[[tests]]\nfile = 'x'\nfinds = ['string-skip/x']",
    "reports = ['x']",
]


@pytest.mark.parametrize("text", POLICIES)
def test_no_error_of_a_policy_has_english_in_it(text: str) -> None:
    with pytest.raises(ScoreError) as raised:
        read_policy(text, "house.toml")
    said = Wording(PSEUDO).error(raised.value)
    given = f"{text} Invalid value (at end document)"  # the TOML parser's own words
    assert [word for word in plain_english(said) if word not in given] == []


def test_no_error_of_an_option_or_a_setting_has_english_in_it(monkeypatch: pytest.MonkeyPatch) -> None:
    wording, said = Wording(PSEUDO), []
    for read, names in ((read_options, Options.model_fields), (read_sheet_options, SheetOptions.model_fields)):
        for name in (*names, "levl", "unheard"):
            try:
                read({name: ["\x00" * 200]})
            except ScoreError as error:
                said.append(wording.error(error))
    assert len(said) > 25
    for name in Settings.model_fields:
        with pytest.raises(SettingError) as refused:
            read_settings({name: "\x00/"})
        said.append(wording.text(refused.value.sentence))
    monkeypatch.setenv("HANDFRAME_PROT", "1")
    with pytest.raises(SettingError) as refused:
        read_settings()
    said.append(wording.text(refused.value.sentence))
    assert [found for text in said if (found := plain_english(text))] == []


@pytest.mark.parametrize("code", MEANINGS)
def test_no_page_of_problems_has_english_in_it(code: str) -> None:
    page = problem_page(code, MEANINGS[code], Wording(PSEUDO))
    assert f'<html lang="{PSEUDO}">' in page
    assert plain_english(unescape(re.sub(r"<[^>]*>", " ", page))) == []
