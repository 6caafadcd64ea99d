"""The commands `serve` and `watch` as they are typed."""

from __future__ import annotations

import socket

import pytest

from service.cli.main import main
from service.config.settings import Settings, variable
from service.http import server
from service.naming import Language


def test_every_setting_is_a_flag_and_a_variable(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["serve", "--help"])
    assert ended.value.code == 0
    told = " ".join(capsys.readouterr().out.split())
    for name in Settings.model_fields:
        assert f"--{name.replace('_', '-')}" in told
        assert variable(name) in told


def test_flags_become_settings(monkeypatch: pytest.MonkeyPatch) -> None:
    served: list[tuple[Settings, Language]] = []
    monkeypatch.setattr(server, "serve", lambda *given: served.append(given))
    monkeypatch.setenv("HANDFRAME_SECONDS", "7")
    assert (
        main(
            [
                "serve",
                "--port",
                "0",
                "--workers",
                "2",
                "--origins",
                "https://a.example,https://b.example",
                "--language",
                "fr",
            ]
        )
        == 0
    )
    origins = ("https://a.example", "https://b.example")
    assert served == [(Settings(port=0, workers=2, seconds=7.0, origins=origins), Language.FRENCH)]


@pytest.mark.parametrize(
    ("flags", "environment", "named"),
    [
        (["--queue", "many"], {}, "HANDFRAME_QUEUE"),
        (["--workers", "0"], {}, "HANDFRAME_WORKERS"),
        ([], {"HANDFRAME_PROT": "1"}, "HANDFRAME_PROT"),
        (["--port", "99999"], {}, "from 0 to 65"),
        (["--depth", "9999"], {}, "from 1 to 256"),
    ],
)
def test_settings_that_cannot_be_are_told(
    flags: list[str],
    environment: dict[str, str],
    named: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    assert main(["serve", *flags]) == 2
    assert named in capsys.readouterr().err


def test_workers_share_the_cores() -> None:
    assert Settings(planners=3).planner_count == 3
    assert Settings(workers=1000).planner_count == 1


def test_a_port_that_is_taken_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        assert main(["serve", "--port", str(taken.getsockname()[1])]) == 2
    assert "--port" in capsys.readouterr().err
