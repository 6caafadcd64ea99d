"""Any bytes at all, and scores full of odd values: a clean refusal, or an answer that can be undone.

Every input that the fuzzing engine (`tests/soak/fuzz_bytes.py`) ever broke something with is tried again here.
"""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.config.options import read_options
from tests.soak.laws import check_annotate, check_bytes

FOUND = sorted((Path(__file__).resolve().parents[1] / "soak" / "found").iterdir())
ANY_PART = read_options({"part": ["P1"], "level": ["all"], "fingers": ["all"], "range_lines": ["true"]})
REPLACED = read_options({"part": ["P1"], "printed": ["replace"], "shift_lines": ["true"]})
SLOW = settings(suppress_health_check=[HealthCheck.too_slow])


@pytest.mark.parametrize("path", FOUND, ids=lambda path: path.stem)
def test_what_once_broke_it(path: Path) -> None:
    data = path.read_bytes()
    check_bytes(data)
    check_annotate(data, ANY_PART)
    check_annotate(data, REPLACED)


@given(st.binary(max_size=600))
def test_any_bytes(data: bytes) -> None:
    check_bytes(data)
    check_bytes(b"PK\x03\x04" + data)
    check_bytes(b"<score-partwise>" + data + b"</score-partwise>")


def test_every_single_bit_of_a_directory() -> None:
    """A damaged row that still looks like one once led past the end of the directory."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as made:
        made.writestr("META-INF/container.xml", "<container><rootfile full-path='s.xml'/></container>")
        made.writestr("s.xml", "<score-partwise><part id='P1'><note><pitch/></note></part></score-partwise>")
        made.writestr("more.txt", "")
        made.comment = b"about"
    archive = buffer.getvalue()
    for place in range(archive.index(b"PK\1\2"), len(archive)):
        for bit in range(8):
            damaged = bytearray(archive)
            damaged[place] ^= 1 << bit
            check_bytes(bytes(damaged))


@given(st.data())
def test_any_damage_to_an_archive(data: st.DataObject) -> None:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", data.draw(st.sampled_from([zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED]))) as made:
        made.writestr("META-INF/container.xml", "<container><rootfile full-path='s.xml'/></container>")
        made.writestr("s.xml", "<score-partwise><part id='P1'><measure/></part></score-partwise>")
    archive = bytearray(buffer.getvalue())
    for _ in range(data.draw(st.integers(1, 4))):
        place = data.draw(st.integers(0, len(archive) - 1))
        archive[place] = data.draw(st.integers(0, 255))
    check_bytes(bytes(archive))
    check_bytes(bytes(archive[: data.draw(st.integers(0, len(archive)))]))


NUMBER = st.sampled_from(["0", "1", "2", "3", "4", "7", "-1", "0.5", "", "x", " 2 ", "1e3", "99999999999", "nan", "٣"])
TAGS = (
    "duration", "voice", "staff", "type", "alter", "octave", "step", "divisions", "beats", "beat-type", "fifths",
    "chromatic", "octave-change", "actual-notes", "normal-notes", "per-minute", "fingering", "string", "words",
    "staves",
)  # fmt: skip


def _leaf(tag: str) -> st.SearchStrategy[str]:
    texts = {
        "step": st.sampled_from(["A", "B", "G", "H", ""]),
        "words": st.sampled_from(["sul G", "III", "2nd pos.", "restez", "&lt;!--", "div."]),
    }
    return texts.get(tag, NUMBER).map(lambda text: f"<{tag}>{text}</{tag}>")


LEAVES = st.sampled_from(TAGS).flatmap(_leaf)
EMPTY = st.sampled_from(
    [
        "<chord/>", "<grace/>", "<cue/>", "<rest/>", "<tie type='start'/>", "<tie type='stop'/>", "<dot/>",
        "<tied type='start'/>", "<slur type='start'/>", "<slur type='stop'/>", "<open-string/>", "<harmonic/>",
        "<unpitched/>", "<repeat direction='backward'/>", "<sound tempo='x'/>", "<sound tempo='60'/>",
        "<bracket type='start'/>", "<wavy-line type='start'/>",
    ]
)  # fmt: skip
BRANCHES = (
    "note", "pitch", "notations", "technical", "attributes", "time", "key", "transpose", "direction", "direction-type",
    "backup", "forward", "metronome", "time-modification", "barline", "measure", "part", "staff-details", "ornaments",
)  # fmt: skip
CONTENT = st.recursive(
    LEAVES | EMPTY,
    lambda inner: st.tuples(st.sampled_from(BRANCHES), st.lists(inner, max_size=5)).map(
        lambda made: f"<{made[0]}>{''.join(made[1])}</{made[0]}>"
    ),
    max_leaves=25,
)
PITCHED = st.tuples(st.sampled_from("CDEFGAB"), st.integers(3, 7), NUMBER, st.lists(EMPTY | LEAVES, max_size=3)).map(
    lambda made: (
        f"<note><pitch><step>{made[0]}</step><octave>{made[1]}</octave></pitch><duration>{made[2]}</duration>"
        f"{''.join(made[3])}</note>"
    )
)
SCORE = st.lists(st.lists(PITCHED | CONTENT, max_size=6), min_size=1, max_size=4).map(
    lambda bars: (
        "<score-partwise><part-list><score-part id='P1'><part-name>Violin</part-name></score-part></part-list>"
        "<part id='P1'>"
        + "".join(f"<measure number='{n}'>{''.join(bar)}</measure>" for n, bar in enumerate(bars))
        + "</part></score-partwise>"
    )
)


@SLOW
@given(SCORE)
def test_scores_full_of_odd_values(score: str) -> None:
    check_bytes(score.encode())
    check_annotate(score.encode(), ANY_PART)
    check_annotate(score.encode(), REPLACED)
