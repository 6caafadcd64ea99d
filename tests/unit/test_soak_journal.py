"""The journal of the long tests: what is known is not tried again, what failed is."""

from __future__ import annotations

from pathlib import Path

from tests.soak.journal import Journal


def test_a_run_goes_on_where_it_was_cut_off(tmp_path: Path) -> None:
    tried: list[str] = []

    def trial(path: Path) -> str:
        tried.append(path.name)
        if path.name == "b":
            raise ValueError("a law was broken")
        return "marked"

    paths, file = [Path("a"), Path("b")], tmp_path / "journal.jsonl"
    first = list(Journal(file, "state 1").outcomes(paths, trial))
    assert first == [(Path("a"), "marked"), (Path("b"), "FAILED: ValueError: a law was broken")]
    with file.open("a") as cut:
        cut.write('["c", "mar')
    assert list(Journal(file, "state 1").outcomes([*paths, Path("c")], trial)) == [*first, (Path("c"), "marked")]
    assert tried == ["a", "b", "b", "c"]
    list(Journal(file, "state 1").outcomes([Path("c")], trial))
    assert tried == ["a", "b", "b", "c"]
    list(Journal(file, "state 2").outcomes(paths, trial))
    assert tried == ["a", "b", "b", "c", "a", "b"]
