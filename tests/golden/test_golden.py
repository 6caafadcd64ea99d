"""The samples, marked and reviewed, against what was last accepted: the diff shows every changed fingering and finding.

`pytest --update-golden` writes them anew; play the difference before it is committed.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from service.config.options import Options
from service.reports.wire.review_data import review_data
from service.usecases.annotate import annotate, review_score
from service.usecases.clean import clean
from tests.conftest import ROOT
from tests.soak.laws import held

HERE = Path(__file__).parent
NAMES = sorted(p.name for p in (ROOT / "sample_scores").iterdir() if p.suffix in {".musicxml", ".mxl"})


def _compare(path: Path, data: bytes, update: bool) -> None:
    if update:
        path.write_bytes(data)
    assert path.exists(), f"{path.name} has no golden result: run pytest --update-golden and read it"
    assert path.read_bytes() == data, f"{path.name} changed: run pytest --update-golden and read the diff"


@pytest.mark.parametrize("name", NAMES)
def test_marked_score_is_what_was_accepted(name: str, update_golden: bool) -> None:
    data = (ROOT / "sample_scores" / name).read_bytes()
    answer = annotate(data, Options())
    assert held(clean(answer.data)) == held(data)
    assert annotate(answer.data, Options()).data == answer.data
    if not name.endswith(".mxl"):  # an archive's bytes depend on the compression library; its plan is compared below
        _compare(HERE / name.replace(".musicxml", ".marked.musicxml"), answer.data, update_golden)


@pytest.mark.parametrize("name", NAMES)
def test_review_is_what_was_accepted(name: str, update_golden: bool) -> None:
    data = (ROOT / "sample_scores" / name).read_bytes()
    review = json.dumps(review_data(review_score(data, Options())), ensure_ascii=False, indent=1) + "\n"
    _compare(HERE / f"{name.rsplit('.', 1)[0]}.review.json", review.encode(), update_golden)
