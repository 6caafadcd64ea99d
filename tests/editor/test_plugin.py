"""The plugin in a real MuseScore 3, on a screen of its own (Xvfb): one press opens the marked score."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from lxml import etree

from service.config.options import Options, choices_of
from tests.interface.running import ROOT, running

PLUGIN = ROOT / "service" / "editors" / "left_hand.qml"
PICTURES = ROOT / "build"
_NEEDED = ("musescore3", "Xvfb", "xdotool")
_BUTTON = (245, 235)  # of the plugin's window, which opens in the corner of an empty screen
_SECONDS = 90.0
_missing = [name for name in _NEEDED if shutil.which(name) is None]
in_editor = [
    pytest.mark.editor,
    pytest.mark.skipif(bool(_missing) and not os.environ.get("CI"), reason=f"not installed: {', '.join(_missing)}"),
]


@pytest.mark.parametrize("name", ["instrument", "level", "fingers", "printed", "language"])
def test_the_plugin_offers_every_value_of_an_option(name: str) -> None:
    found = re.search(
        rf"id: {name}\n.*?readonly property string value: \[(.*?)\]\[index\]", PLUGIN.read_text(), re.DOTALL
    )
    assert found
    choices = choices_of(Options.model_fields[name])
    assert choices
    assert [each.strip(' "') for each in found[1].split(",")] == list(choices.values)


class Editor:
    """A running editor with a score open."""

    def __init__(self, display: str, home: Path) -> None:
        self._environment = {**os.environ, "DISPLAY": display, "HOME": str(home), "TMPDIR": str(home)}
        self._environment["QT_QUICK_BACKEND"] = "software"

    def start(self, score: Path) -> subprocess.Popen[bytes]:
        return subprocess.Popen(
            ["musescore3", str(score)], env=self._environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )

    def do(self, *command: str) -> str:
        return subprocess.run(
            ["xdotool", *command], env=self._environment, capture_output=True, text=True, check=False
        ).stdout

    def wait_for(self, holds: Callable[[], object]) -> None:
        end = time.monotonic() + _SECONDS
        while not holds():
            assert time.monotonic() < end, "the editor did not come to that"
            time.sleep(0.5)

    def picture(self, name: str) -> None:
        """Keep what is on the screen for somebody to look at."""
        if shutil.which("import") is not None:
            PICTURES.mkdir(exist_ok=True)
            command = ["import", "-window", "root", str(PICTURES / name)]
            subprocess.run(command, env=self._environment, check=False)


def _settings(home: Path, port: int) -> None:
    """What MuseScore keeps: no welcome, the plugin ticked and on a key, its address."""
    plugins = home / "Plugins"
    plugins.mkdir(parents=True)
    shutil.copy(PLUGIN, plugins)
    (home / ".config" / "MuseScore").mkdir(parents=True)
    (home / ".config" / "MuseScore" / "MuseScore3.ini").write_text(
        "[application]\nlanguage=en_US\nstartup\\firstStart=false\n"
        f"paths\\myPlugins={plugins}\n[left-hand]\naddress=http://127.0.0.1:{port}\nlevel=2\n"
        "[ui]\napplication\\startup\\showStartCenter=false\napplication\\startup\\showTours=false\ntours\\showTours=false\n"
    )
    data = home / ".local" / "share" / "MuseScore" / "MuseScore3"
    data.mkdir(parents=True)
    (data / "plugins.xml").write_text(
        f'<museScore version="3.02"><Plugin><path>{plugins / PLUGIN.name}</path><load>1</load>'
        "<SC><key></key><seq>Ctrl+Alt+H</seq></SC></Plugin></museScore>"
    )


@contextmanager
def editor_with(score: Path, home: Path, port: int) -> Iterator[Editor]:
    """The editor with the plugin's window open."""
    _settings(home, port)
    display = ":93"
    screen = subprocess.Popen(["Xvfb", display, "-screen", "0", "1280x900x24"], stderr=subprocess.DEVNULL)
    program = None
    try:
        editor = Editor(display, home)
        time.sleep(2)
        program = editor.start(score)
        editor.wait_for(lambda: editor.do("search", "--name", "MuseScore 3: "))
        time.sleep(3)  # the window takes keys only after it has been drawn
        editor.do("windowfocus", editor.do("search", "--name", "MuseScore 3: ").split()[-1])
        editor.do("key", "--clearmodifiers", "ctrl+alt+h")
        time.sleep(4)
        yield editor
        assert program.poll() is None, "the editor runs on"
    finally:
        for process in (program, screen):
            if process is not None:
                process.kill()
                process.wait()


@pytest.fixture
def score(tmp_path: Path, sample_scores: dict[str, Path]) -> Path:
    return Path(shutil.copy(sample_scores["ferry_waltz"], tmp_path / "waltz.musicxml"))


class TestInTheEditor:
    pytestmark = in_editor

    def test_one_press_opens_the_marked_score(self, score: Path, tmp_path: Path) -> None:
        home = tmp_path / "home"
        with running("--planners", "1") as service, editor_with(score, home, service.port) as editor:
            editor.do("mousemove", *map(str, _BUTTON), "click", "1")
            editor.wait_for(lambda: list(home.glob("left-hand-*-marked.musicxml")))
            time.sleep(4)
            editor.picture("plugin_marked.png")
            (marked,) = home.glob("left-hand-*-marked.musicxml")
            titles = editor.do("search", "--name", "left-hand-.*marked")
        assert len(list(etree.parse(marked).iter("fingering"))) > 3
        assert titles, "the marked copy is the score at hand"
        assert not list(home.glob("left-hand-*[0-9].musicxml")), "what was sent is not left behind"
        assert any('"route": "/annotate", "status": 200' in line for line in service.log)

    def test_it_says_so_if_nothing_answers(self, score: Path, tmp_path: Path) -> None:
        home = tmp_path / "home"
        with editor_with(score, home, 9) as editor:
            editor.do("mousemove", *map(str, _BUTTON), "click", "1")
            time.sleep(5)
            editor.picture("plugin_nothing_answers.png")
        assert not list(home.glob("left-hand-*"))
