"""The recipes for operators: the unit by systemd's own checks, the image by what it must and must not say."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from service.config.settings import Settings, variable
from tests.interface.running import ROOT

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
