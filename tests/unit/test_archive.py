"""Compressed scores: only the score changes, in an archive that every zip reader opens."""

from __future__ import annotations

import io
import shutil
import struct
import subprocess
import zipfile
import zlib
from pathlib import Path

import pytest

from service.config.options import Options
from service.errors import ScoreError
from service.musicxml.file.container import open_document
from service.usecases.annotate import annotate
from service.usecases.clean import clean
from tests.small_archives import CONTAINER, archive, score, small_archive

KEPT = ("filename", "date_time", "compress_type", "comment", "extra", "external_attr", "internal_attr", "create_system")
LOCKED = 1


def rest(data: bytes, own: str = "in/score.xml") -> list[tuple[object, ...]]:
    """Every other entry: its attributes and its content; of the score its attributes."""
    with zipfile.ZipFile(io.BytesIO(data)) as opened:
        assert opened.testzip() is None
        return [
            (*(getattr(info, name) for name in KEPT), None if info.filename == own else opened.read(info))
            for info in opened.infolist()
        ]


def walked(data: bytes) -> list[tuple[str, bytes]]:
    """The entries as a reader meets them that goes from header to header; nothing may stand in between.

    Source: APPNOTE.TXT 6.3.10, sections 4.3.6 (order of the records), 4.3.7 (header) and 4.3.12 (directory).
    """
    found, here = [], 0
    while data.startswith(b"PK\3\4", here):
        flags, method, checksum, packed, unpacked, name, extra = struct.unpack_from("<6x2H4x3I2H", data, here)
        assert not flags & 8, "the sizes stand in the header"
        begin = here + 30 + name + extra
        content = data[begin : begin + packed]
        content = zlib.decompress(content, -15) if method else content
        assert (len(content), zlib.crc32(content)) == (unpacked, checksum)
        found.append((data[here + 30 : here + 30 + name].decode(), content))
        here = begin + packed
    assert data.startswith(b"PK\1\2", here), "the directory follows the last entry"
    return found


@pytest.mark.parametrize("method", [zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED])
def test_only_the_score_of_an_archive_changes_and_back_again(method: int) -> None:
    data = small_archive(method=method, comment=b"an archive")
    document = open_document(data)
    assert (document.kind, document.other_scores) == ("mxl", ("a-decoy.xml",))
    assert document.rebuild(document.working) is data
    text = document.working.replace(b"<rest/>", b"<rest/><!--longer-->")
    answer = document.rebuild(text)
    back = open_document(answer).rebuild(document.working)
    for rebuilt, expected in ((answer, text), (back, document.working)):
        with zipfile.ZipFile(io.BytesIO(rebuilt)) as opened:
            assert opened.comment == b"an archive"
            assert opened.read("in/score.xml") == expected
        assert rest(rebuilt) == rest(data)
        assert dict(walked(rebuilt))["in/score.xml"] == expected


def test_nothing_of_the_original_stays_hidden() -> None:
    data = small_archive(method=zipfile.ZIP_STORED)
    document = open_document(data)
    answer = document.rebuild(document.working.replace(b"<rest/>", b"<forward/>"))
    assert b"<rest/>" not in answer
    assert [name for name, _ in walked(answer)] == [
        "mimetype", "a-decoy.xml", "META-INF/container.xml", "in/score.xml", "last.txt",
    ]  # fmt: skip


def test_clean_gives_the_score_and_the_other_entries_of_a_sample_back(sample_scores: dict[str, Path]) -> None:
    data = sample_scores["pier_march"].read_bytes()
    marked = annotate(data, Options()).data
    back = clean(marked)
    name = next(n for n, _ in walked(marked) if n.endswith(("xml", "musicxml")) and not n.startswith("META"))
    assert rest(back, name) == rest(marked, name) == rest(data, name)
    with zipfile.ZipFile(io.BytesIO(back)) as after, zipfile.ZipFile(io.BytesIO(data)) as before:
        assert after.read(name) == before.read(name)
    assert clean(back) == back
    assert annotate(marked, Options()).data == marked


@pytest.mark.skipif(shutil.which("unzip") is None, reason="Info-ZIP is not installed")
def test_info_zip_opens_it_without_a_warning(sample_scores: dict[str, Path], tmp_path: Path) -> None:
    target = tmp_path / "marked.mxl"
    target.write_bytes(annotate(sample_scores["pier_march"].read_bytes(), Options()).data)
    done = subprocess.run(["unzip", "-t", str(target)], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "warning" not in done.stdout + done.stderr


def test_an_archive_written_as_a_stream_comes_back() -> None:
    class Pipe(io.RawIOBase):  # cannot seek, so sizes follow the data and the flags say so
        def __init__(self) -> None:
            self.written = b""

        def writable(self) -> bool:
            return True

        def write(self, data: bytes) -> int:  # type: ignore[override]
            self.written += bytes(data)
            return len(data)

    pipe = Pipe()
    with zipfile.ZipFile(pipe, "w", zipfile.ZIP_DEFLATED) as made:
        made.writestr("META-INF/container.xml", CONTAINER.format("s.xml"))
        with made.open("s.xml", "w", force_zip64=True) as entry:
            entry.write(score().encode())
        made.writestr("z.txt", "stays")
    document = open_document(pipe.written)
    text = document.working.replace(b"<rest/>", b"<rest /> ")
    answer = document.rebuild(text)
    assert dict(walked(answer))["s.xml"] == text
    back = open_document(answer).rebuild(document.working)
    for rebuilt, expected in ((answer, text), (back, document.working)):
        with zipfile.ZipFile(io.BytesIO(rebuilt)) as after:
            assert after.testzip() is None
            assert (after.read("s.xml"), after.read("z.txt")) == (expected, b"stays")


def test_a_locked_entry_is_copied_as_it_is() -> None:
    data = bytearray(small_archive(method=zipfile.ZIP_STORED))
    name = b"last.txt"
    for offset in (data.index(name) - 30 + 6, data.rindex(b"PK\1\2", 0, data.rindex(name)) + 8):
        data[offset] |= LOCKED
    document = open_document(bytes(data))
    answer = document.rebuild(document.working.replace(b"<rest/>", b"<rest /> "))
    with zipfile.ZipFile(io.BytesIO(answer)) as after:
        info = after.getinfo("last.txt")
        assert info.flag_bits & LOCKED
        start = info.header_offset + 30 + len(name)
        assert answer[start : start + info.compress_size] == b"stays"


def test_bytes_before_an_archive_do_not_matter() -> None:
    data = small_archive()
    document = open_document(b"PK says hello" + data)
    answer = document.rebuild(document.working.replace(b"<rest/>", b"<rest /> "))
    assert rest(answer) == rest(data)
    assert len(walked(answer)) == len(rest(data))


def test_entries_that_overlap_are_refused() -> None:
    """Two hundred rows of the directory that share one entry would grow the answer two hundred times."""
    data = bytearray(small_archive())
    rows = [n for n in range(len(data)) if data.startswith(b"PK\1\2", n)]
    decoy = struct.unpack_from("<I", data, rows[1] + 42)[0]
    struct.pack_into("<I", data, rows[4] + 42, decoy)
    with pytest.raises(ScoreError) as refused:
        open_document(bytes(data))
    assert refused.value.code == "bad-archive"


ENTITY = '<!DOCTYPE container [<!ENTITY e "in/score.xml">]>'


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "latin-1"])
@pytest.mark.parametrize(
    "container",
    [
        ENTITY + CONTAINER.format("&e;"),
        ENTITY + CONTAINER.format("in/score.xml"),
        '<!DOCTYPE container [<!ENTITY % e SYSTEM "file:///etc/hostname"> %e;]>' + CONTAINER.format("in/score.xml"),
    ],
    ids=["expanded", "declared", "a file"],
)
def test_no_entity_is_expanded_in_the_container(container: str, encoding: str) -> None:
    declared = f"<?xml version='1.0' encoding='{encoding}'?>{container}".encode(encoding)
    data = archive(("META-INF/container.xml", declared), ("in/score.xml", score().encode()))
    with pytest.raises(ScoreError) as refused:
        open_document(data)
    assert refused.value.code == "entities-declared"


def test_a_container_with_the_document_type_of_the_standard_is_read() -> None:
    """The document type is that of the W3C's container.dtd."""
    doctype = (
        '<?xml version="1.0" encoding="UTF-8"?><!DOCTYPE container PUBLIC '
        '"-//Recordare//DTD MusicXML 4.0 Container//EN" "http://www.musicxml.org/dtds/container.dtd">'
    )
    data = archive(
        ("META-INF/container.xml", (doctype + CONTAINER.format("s.xml")).encode()), ("s.xml", score().encode())
    )
    assert open_document(data).kind == "mxl"
