"""The tables in the README and the page's options say what is declared today."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from service.cli.main import main
from service.config.options import NAMES, Options
from service.config.settings import Settings
from service.http.app import create_app
from tests.conftest import ROOT
from tests.option_tables import (
    OPTION_DATA,
    OPTIONS_PAGE,
    SETTINGS_PAGE,
    option_data,
    option_table,
    settings_table,
    with_tables,
)

README = ROOT / "README.md"


@pytest.mark.parametrize(("page", "table"), [(OPTIONS_PAGE, option_table), (SETTINGS_PAGE, settings_table)])
def test_the_guides_have_the_tables_of_today(page: Path, table: Callable[[], str]) -> None:
    text = page.read_text(encoding="utf-8")
    assert text == with_tables(text), "write them again: make docs"
    assert table() in text


def test_the_readme_is_short_and_its_links_lead_somewhere() -> None:
    text = README.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= 130
    pages = [README, OPTIONS_PAGE, SETTINGS_PAGE, README.parent / "service" / "policies" / "README.md"]
    for page in pages:
        for link in re.findall(r"\]\(([^)#:]+)", page.read_text(encoding="utf-8")):
            assert (page.parent / link).exists(), f"{page}: {link}"


def test_the_page_has_the_options_of_today() -> None:
    assert OPTION_DATA.read_text(encoding="utf-8") == option_data(), "write it again: make docs"


def test_every_option_and_setting_has_a_row() -> None:
    assert [name for name in NAMES if f"\n| `{name}` |" not in option_table()] == []
    assert [name for name in Settings.model_fields if f"| `--{name.replace('_', '-')}` |" not in settings_table()] == []


def test_the_flags_and_the_query_parameters_are_the_options(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["annotate", "--help"])
    text = " ".join(capsys.readouterr().out.split())
    for name, field in Options.model_fields.items():
        assert f"--{name.replace('_', '-')}" in text
        assert str(field.description) in text
    parameters = create_app(Settings(planners=1)).openapi()["paths"]["/annotate"]["post"]["parameters"]
    described = {each["name"]: each["description"] for each in parameters if each["in"] == "query"}
    assert described.pop("filename")
    assert described == {name: field.description for name, field in Options.model_fields.items()}
