"""The recipes for operators: the unit by systemd's own checks, the image by what it must and must not say.

And the service under the conditions of both: no home, and nothing to write but a temporary folder.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from service.config.settings import Settings, variable
from tests.interface.running import ROOT, Connection

DEPLOY = ROOT / "service" / "http" / "deploy"
UNIT = DEPLOY / "handframe.service"
IMAGE = DEPLOY / "Containerfile"
NOBODY = 65534
_EXPOSED_AT_MOST = 2.0
"""On systemd's own scale from 0 (shut) to 10 (open)."""
has_systemd = pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="no systemd")
has_builder = pytest.mark.skipif(
    not any(
        shutil.which(name) and subprocess.run([name, "info"], capture_output=True, check=False).returncode == 0
        for name in ("podman", "docker")
    ),
    reason="no running podman or docker",
)


@has_systemd
def test_systemd_accepts_the_unit(tmp_path: Path) -> None:
    unit = tmp_path / UNIT.name
    unit.write_text(UNIT.read_text().replace("/opt/handframe/bin/handframe", "/bin/true"))
    done = subprocess.run(["systemd-analyze", "verify", str(unit)], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert UNIT.name not in done.stderr


@has_systemd
def test_the_unit_has_no_privileges() -> None:
    command = ["systemd-analyze", "security", "--offline=true", "--no-pager", str(UNIT)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    found = re.search(r"Overall exposure level for \S+: ([\d.]+)", done.stdout)
    assert found, done.stderr
    assert float(found[1]) <= _EXPOSED_AT_MOST


def test_the_image_is_run_by_nobody_and_says_how_it_is() -> None:
    lines = [line for line in IMAGE.read_text().replace("\\\n", " ").splitlines() if line and not line.startswith("#")]
    words = [line.split(maxsplit=1) for line in lines]
    assert {word for word, _ in words} <= {
        "FROM", "WORKDIR", "COPY", "RUN", "ENV", "USER", "EXPOSE", "HEALTHCHECK", "STOPSIGNAL", "CMD",
    }  # fmt: skip
    assert [rest for word, rest in words if word == "USER"] == [f"{NOBODY}:{NOBODY}"]
    assert all(re.search(r":\d[\w.-]+( AS \w+)?$", rest) for word, rest in words if word == "FROM"), "never :latest"
    assert any("/healthz" in rest for word, rest in words if word == "HEALTHCHECK")
    assert [rest for word, rest in words if word == "CMD"] == ['["handframe", "serve"]'], "no shell in between"
    copied = [rest.split()[:-1] for word, rest in words if word == "COPY" and not rest.startswith("--from")]
    assert all((ROOT / name).exists() for names in copied for name in names)
    known = {variable(name) for name in Settings.model_fields}
    assert set(re.findall(r"HANDFRAME_\w+", IMAGE.read_text())) <= known


@pytest.mark.slow
@has_builder
def test_the_image_can_be_built() -> None:
    builder = "podman" if shutil.which("podman") else "docker"
    subprocess.run([builder, "build", "-t", "handframe-test", "-f", str(IMAGE), str(ROOT)], check=True)


def test_the_service_needs_no_home_and_writes_nothing(tmp_path: Path, waltz: bytes) -> None:
    temporary = tmp_path / "tmp"
    temporary.mkdir()
    keep = {"PATH": os.environ["PATH"], "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1"}
    process = subprocess.Popen(
        [sys.executable, "-m", "service.cli", "serve", "--port", "0", "--planners", "1"],
        stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, cwd=tmp_path,
        env={**keep, "HOME": str(tmp_path / "no_home"), "TMPDIR": str(temporary)},
    )  # fmt: skip
    try:
        assert process.stdout is not None
        found = re.search(r"http://127\.0\.0\.1:(\d+)", process.stdout.readline())
        assert found
        kern = (ROOT / "tests" / "other_formats" / "landing_stage.krn").read_bytes()
        with Connection(int(found[1]), 60) as connection:
            assert connection.ask("GET", "/healthz")[0] == 200
            assert connection.ask("POST", "/annotate", waltz)[0] == 200
            assert connection.ask("POST", "/annotate", kern)[0] == 200, "music21 needs no home either"
    finally:
        process.terminate()
        process.wait(30)
        if process.stdout is not None:
            process.stdout.close()
    assert list(tmp_path.iterdir()) == [temporary]
    assert [path for path in temporary.rglob("*") if path.is_file()] == []
