"""`make bench`: measures, prints, and writes the table into this folder's README. It judges nothing."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.benchmarks.ratios import README, measure

START, END = "<!-- figures -->", "<!-- end of figures -->"


@pytest.mark.benchmark
def test_ratios_are_measured_and_written(tmp_path: Path) -> None:
    table = measure(tmp_path)
    print("\n" + table)
    text = README.read_text(encoding="utf-8")
    before, rest = text.split(START)
    README.write_text(f"{before}{START}\n{table}\n{END}{rest.split(END)[1]}", encoding="utf-8")
