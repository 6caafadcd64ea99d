"""A run over a catalogue: what is skipped, how far it has come, taking it up again, what is staged, old entries."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from lxml import etree

from service.cli.main import Exit, main
from service.cli.terminal import with_progress
from service.messages.message import Wording
from service.musicxml.file.container import open_document
from service.musicxml.notation.parts_to_check import parts_for_check
from tests.interface.test_review_command import score
from tests.misprints.printed_scores import printed_score
from tests.small_archives import small_archive

WRONG, RIGHT = "B4{1} C5{5} D5{3}", "B4{1} C5{2} D5{3}"


def named(name: str, text: str = RIGHT) -> bytes:
    return printed_score(text).replace(b">Violin<", f">{name}<".encode())


def write(folder: Path, **scores: bytes) -> None:
    for name, data in scores.items():
        (folder / f"{name}.musicxml").write_bytes(data)


def test_scores_for_others_are_skipped_counted_and_listed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write(tmp_path, flute=named("Flute"), violin=named("Violin"), song=named("Soprano"))
    assert main(["review", str(tmp_path), "--policy", "proof"]) == Exit.CLEAN
    shown = capsys.readouterr()
    assert "2 files" in shown.out or "two files" in shown.out
    assert "flute.musicxml" in shown.out
    assert "song.musicxml" in shown.out
    assert shown.err == ""
    main(["review", str(tmp_path), "--format", "json"])
    files = json.loads(capsys.readouterr().out)["files"]
    assert [file["skipped"] is not None for file in files] == [True, True, False]


def test_exit_codes_tell_findings_unreadable_and_nothing_to_check_apart(tmp_path: Path) -> None:
    for name in ("none", "wrong", "broken"):
        (tmp_path / name).mkdir()
    write(tmp_path / "none", flute=named("Flute"))
    write(tmp_path / "wrong", violin=named("Violin", WRONG))
    write(tmp_path / "broken", violin=named("Violin"), broken=b"<score-partwise>")
    codes = [main(["review", str(tmp_path / name), "--policy", "proof"]) for name in ("none", "wrong", "broken")]
    assert codes == [Exit.NOTHING, Exit.FINDINGS, Exit.FAILED]


@pytest.mark.parametrize(
    ("name", "change", "expected"),
    [
        ("Part 1", (b"", b""), ["violin"]),
        ("", (b"", b""), ["violin"]),
        ("Part 1", (b"<sign>G</sign><line>2</line>", b"<sign>C</sign><line>3</line>"), ["viola"]),
        ("Part 1", (b"<sign>G</sign><line>2</line>", b"<sign>F</sign><line>4</line>"), []),
        ("Part 1", (b"<octave>4</octave>", b"<octave>2</octave>"), []),
        ("Part 1", (b"</part-name>", b"</part-name><midi-instrument id='i'><midi-program>42</midi-program>"
                    b"</midi-instrument>"), ["viola"]),
        ("Part 1", (b"</part-name>", b"</part-name><midi-instrument id='i'><midi-program>74</midi-program>"
                    b"</midi-instrument>"), []),
        ("Part 1", (b"</part-name>", b"</part-name><score-instrument id='i'><instrument-name/><instrument-sound>"
                    b"wind.flutes.flute</instrument-sound></score-instrument>"), []),
        ("Part 1", (b"<voice>1</voice>", b"<voice>1</voice><lyric><text>la</text></lyric>"), []),
        ("Part 1", (b"<line>2</line>", b"<line>2</line><clef-octave-change>-1</clef-octave-change>"), []),
        ("Oboe", (b"", b""), []),
        ("Viola", (b"", b""), ["viola"]),
    ],
)  # fmt: skip
def test_a_part_whose_name_does_not_tell_is_settled(
    name: str, change: tuple[bytes, bytes], expected: list[str]
) -> None:
    root = open_document(named(name).replace(*change) if change[0] else named(name)).root
    assert [listing.instrument for listing in parts_for_check(root, {})] == expected


def test_the_house_says_what_its_names_mean(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write(tmp_path, a=named("Solo Oboe or Violin", WRONG), b=named("Violin (cues)", WRONG))
    (tmp_path / "house.toml").write_text('extends = "proof"\n[part_names]\n"solo *" = "violin"\n"*(cues)" = "none"\n')
    main(["review", str(tmp_path), "--policy", str(tmp_path / "house.toml"), "--format", "json"])
    files = json.loads(capsys.readouterr().out)["files"]
    assert [len(file["check"]) for file in files] == [1, 0]
    (tmp_path / "house.toml").write_text('[part_names]\n"solo" = "oboe"\n')
    assert main(["review", str(tmp_path), "--policy", str(tmp_path / "house.toml")]) == Exit.FAILED
    assert "line 2" in capsys.readouterr().err


def test_violin_and_viola_of_one_score_are_both_checked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    root = etree.fromstring(named("Violin", WRONG))
    listed, part = root.find("part-list/score-part"), root.find("part")
    assert listed is not None
    assert part is not None
    for element in (listed, part):
        other = etree.fromstring(etree.tostring(element).replace(b"P1", b"P2").replace(b">Violin<", b">Viola<"))
        element.addnext(other)
    write(tmp_path, duo=etree.tostring(root))
    main(["review", str(tmp_path), "--format", "json"])
    (file,) = json.loads(capsys.readouterr().out)["files"]
    assert [(part["name"], len(part["findings"])) for part in file["check"]] == [("Violin", 1), ("Viola", 1)]


def test_progress_without_a_terminal_is_a_line_now_and_then(capsys: pytest.CaptureFixture[str]) -> None:
    def slow() -> Iterator[int]:
        for number in range(4):
            time.sleep(0.03)
            yield number

    assert list(with_progress(slow(), 4, Wording(), to_terminal=False, seconds=0.05)) == [0, 1, 2, 3]
    lines = re.findall(r"handframe: ([1-3]) of 4 files after 0 s\n", capsys.readouterr().err)
    assert 0 < len(lines) < 3, lines


def test_a_run_is_taken_up_where_it_was_cut_off(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scores, journal = tmp_path / "scores", tmp_path / "journal"
    scores.mkdir()
    write(scores, a=named("Violin", WRONG), b=named("Violin"), c=named("Flute"))
    command = ["review", str(scores), "--format", "sarif", "--resume", str(journal)]
    assert main(command) == Exit.FINDINGS
    whole = capsys.readouterr().out
    lines = journal.read_bytes().splitlines(keepends=True)
    assert len(lines) == 4
    journal.write_bytes(b"".join(lines[:2]) + lines[2][:40])  # cut off while the second score was written down
    held = lines[1].replace(b"is no finger", b"is held")
    journal.write_bytes(lines[0] + held + lines[2][:40])
    assert main(command) == Exit.FINDINGS
    again = capsys.readouterr().out
    assert again == whole.replace("is no finger", "is held"), "the first comes from the journal, the others anew"
    assert len(journal.read_bytes().splitlines()) == 4
    (scores / "a.musicxml").write_bytes(named("Violin", RIGHT))
    assert main(command) == Exit.CLEAN, "a score that has changed is checked anew"
    assert main([*command, "--policy", "first"]) == Exit.FAILED
    assert "not the journal of this run" in capsys.readouterr().err


def test_what_is_staged_is_checked_and_not_the_working_copy(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["review", "--staged", "--policy", "proof"]) == Exit.FAILED
    assert "Run this within a git repository" in capsys.readouterr().err
    subprocess.run(["git", "init", "-q", "."], check=True)
    assert main(["review", "--staged", "--policy", "proof"]) == Exit.CLEAN, "nothing is staged, and a hook goes on"
    (tmp_path / "book 1").mkdir()
    (tmp_path / "book 1" / "é.musicxml").write_bytes(named("Violin", WRONG))
    subprocess.run(["git", "add", "."], check=True)
    (tmp_path / "book 1" / "é.musicxml").write_bytes(named("Violin", RIGHT))
    assert main(["review", "--staged", "--policy", "proof"]) == Exit.FINDINGS
    assert main(["review", "--staged", "elsewhere", "--policy", "proof"]) == Exit.CLEAN
    monkeypatch.chdir(tmp_path / "book 1")
    assert main(["review", "--staged", "--format", "lines"]) == Exit.FINDINGS
    assert "é.musicxml" in capsys.readouterr().out


def test_a_baseline_holds_wherever_the_check_is_started(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "book").mkdir()
    write(tmp_path / "book", tune=named("Violin", WRONG))
    monkeypatch.chdir(tmp_path)
    assert main(["review", "book", "--write-baseline", "accepted.txt", "--policy", "proof"]) == Exit.CLEAN
    assert main(["review", "book", "--baseline", "accepted.txt"]) == Exit.CLEAN
    monkeypatch.chdir(tmp_path / "book")
    assert main(["review", ".", "--baseline", "../accepted.txt"]) == Exit.CLEAN
    assert main(["review", str(tmp_path / "book" / "tune.musicxml"), "--baseline", "../accepted.txt"]) == Exit.CLEAN


def test_what_matches_nothing_any_more_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    write(tmp_path, tune=named("Violin", WRONG), other=named("Violin", "A3{4} B3"))
    (tmp_path / "house.toml").write_text(
        'extends = "proof"\n[[exceptions]]\nfile = "other.musicxml"\nreason = "the composer insists"\n'
        '[[exceptions]]\nbars = "7"\nreason = "there was something once"\n'
    )
    assert main(["review", ".", "--write-baseline", "accepted.txt"]) == Exit.CLEAN
    write(tmp_path, tune=named("Violin", RIGHT))
    (tmp_path / "other.musicxml").rename(tmp_path / "another.musicxml")
    shutil.copy(tmp_path / "another.musicxml", tmp_path / "other.musicxml")
    capsys.readouterr()
    main(["review", ".", "--policy", "house.toml", "--baseline", "accepted.txt"])
    told = capsys.readouterr().err
    assert "no longer found in tune.musicxml: Violin, bar 1" in told
    assert "there was something once" in told
    assert "the composer insists" not in told
    (tmp_path / "other.musicxml").unlink()
    main(["review", "tune.musicxml", "--baseline", "accepted.txt"])
    assert "other.musicxml is not there any more" in capsys.readouterr().err


def test_exceptions_for_other_files_are_not_told_of_where_some_files_are_checked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    write(tmp_path, tune=named("Violin", RIGHT), other=named("Violin", WRONG))
    (tmp_path / "house.toml").write_text(
        'extends = "proof"\n[[exceptions]]\nfile = "other.musicxml"\nreason = "the composer insists"\n'
        '[[exceptions]]\nfile = "tune.musicxml"\nreason = "it was wrong once"\n'
        '[[exceptions]]\nbars = "7"\nreason = "somewhere in the book"\n'
    )
    main(["review", "tune.musicxml", "--policy", "house.toml"])
    told = capsys.readouterr().err
    assert "it was wrong once" in told
    assert "the composer insists" not in told
    assert "somewhere in the book" not in told


@pytest.mark.parametrize("policy", ["house.toml", "policies/house.toml"])
def test_what_may_be_for_another_folder_is_not_told_of_where_one_folder_is_checked(
    policy: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    for folder in ("catalogue/book_1", "catalogue/book_2", "policies"):
        (tmp_path / folder).mkdir(parents=True)
    write(tmp_path / "catalogue/book_1", tune=named("Violin", RIGHT))
    write(tmp_path / "catalogue/book_2", other=named("Violin", WRONG))
    reasons = {
        'file = "other.musicxml"': "for the other book",
        'file = "book_2"': "for the other folder",
        'bars = "7"': "for any book",
        'file = "tune.musicxml"': "for this one",
        'file = "renamed.musicxml"': "for none",
    }
    exceptions = [f'[[exceptions]]\n{which}\nreason = "{reason}"\n' for which, reason in reasons.items()]
    (tmp_path / policy).write_text('extends = "proof"\n' + "".join(exceptions))

    def told(*names: str) -> set[str]:
        capsys.readouterr()
        main(["review", *names, "--policy", policy])
        err = capsys.readouterr().err
        return {reason for reason in reasons.values() if reason in err}

    assert told("catalogue/book_1") == {"for this one", "for none"}
    assert told("catalogue") == {"for any book", "for this one", "for none", "for the other folder"}
    assert told("catalogue/book_1", "catalogue/book_2") == told("catalogue")
    assert told("catalogue/book_1/tune.musicxml") == {"for this one"}


def test_every_accepted_finding_is_recognised_after_a_bar_is_deleted(tmp_path: Path) -> None:
    """Those of the bar itself apart, which are told as stale: the plan and all neighbourhoods may have changed."""
    bars = ["D5:2 F6:2", "A5:2 G6:2", "E5:2 F6:2", "D5:2 F6:2", "B4:2 G6:2"] * 6
    tune, accepted = tmp_path / "tune.musicxml", str(tmp_path / "accepted.txt")
    tune.write_text(score(*bars))
    assert main(["review", str(tune), "--policy", "first", "--write-baseline", accepted]) == Exit.CLEAN
    for deleted in range(len(bars)):
        tune.write_text(score(*bars[:deleted], *bars[deleted + 1 :]))
        assert main(["review", str(tune), "--policy", "first", "--baseline", accepted]) == Exit.CLEAN


def test_findings_of_a_compressed_score_have_a_line_in_the_score_inside(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    inside = named("Violin", f"{RIGHT} | {WRONG}")
    (tmp_path / "tune.mxl").write_bytes(small_archive(inside))
    main(["review", str(tmp_path), "--format", "sarif"])
    (result,) = json.loads(capsys.readouterr().out)["runs"][0]["results"]
    region = result["locations"][0]["physicalLocation"]["region"]
    line = inside.decode().splitlines()[region["startLine"] - 1]
    assert "<fingering>5</fingering>" in line[region["startColumn"] - 1 :].partition("</note>")[0]


def test_passages_are_capped_and_the_rest_is_counted(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    write(tmp_path, many=named("Violin", " | ".join(f"C5{{{mark}}} D5" for mark in "56789xyz")))
    main(["review", str(tmp_path), "--policy", "proof", "--most", "3"])
    shown = capsys.readouterr().out
    assert sum(line.startswith("    error") for line in shown.splitlines()) == 3
    assert "and 5 more (5 errors)" in shown
    main(["review", str(tmp_path), "--policy", "proof", "--most", "0"])
    assert "more (" not in capsys.readouterr().out


def test_the_list_to_tick_off_engraves_the_bars_and_circles_the_notes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    write(tmp_path, one=named("Violin", WRONG), flute=named("Flute"), clean=named("Violin", RIGHT))
    assert main(["review", str(tmp_path), "--format", "html"]) == Exit.FINDINGS
    page = etree.HTML(capsys.readouterr().out)
    assert len(page.xpath("//input[@type='checkbox']")) == 1
    assert len(page.xpath("//*[@class='circled']")) == 1
    assert not page.xpath("//@src | //link | //script"), "one file that needs nothing else"
    assert "flute.musicxml" in "".join(page.itertext())
