"""The tables in the README and the page's options say what is declared today."""

from __future__ import annotations

import pytest

from service.cli.main import main
from service.config.options import NAMES, Options
from service.config.settings import Settings
from service.http.app import create_app
from tests.option_tables import OPTION_DATA, README, option_data, option_table, settings_table, with_tables


def test_the_readme_has_the_tables_of_today() -> None:
    text = README.read_text(encoding="utf-8")
    assert text == with_tables(text), "write them again: make docs"
    assert option_table() in text
    assert settings_table() in text


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
