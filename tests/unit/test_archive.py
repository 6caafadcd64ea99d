"""Compressed scores: only the score changes, and back again."""

from __future__ import annotations

import io
import struct
import zipfile
import zlib

import pytest

from service.musicxml.file.container import open_document
from tests.small_archives import CONTAINER, score, small_archive


@pytest.mark.parametrize("method", [zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED])
def test_only_the_score_of_an_archive_changes_and_back_again(method: int) -> None:
    data = small_archive(method=method, comment=b"an archive")
    document = open_document(data)
    assert (document.kind, document.other_scores) == ("mxl", ("a-decoy.xml",))
    assert document.rebuild(document.working) is data
    text = document.working.replace(b"<rest/>", b"<rest/><!--longer-->")
    answer = document.rebuild(text)

    with zipfile.ZipFile(io.BytesIO(data)) as before, zipfile.ZipFile(io.BytesIO(answer)) as after:
        assert after.testzip() is None
        assert after.comment == b"an archive"
        assert after.read("in/score.xml") == text
        for old, new in zip(before.infolist(), after.infolist(), strict=True):
            for name in (
                "filename",
                "date_time",
                "compress_type",
                "comment",
                "extra",
                "external_attr",
                "create_system",
            ):
                assert getattr(old, name) == getattr(new, name)
            if old.filename != "in/score.xml":
                assert before.read(old) == after.read(new)

    again = open_document(answer)
    assert again.working == text
    assert again.rebuild(document.working) == data
    other = document.working.replace(b"<rest/>", b"<rest/><!--another-->")
    assert again.rebuild(other) == document.rebuild(other), "made from the original, not from the answer"


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
    header = answer.index(b"s.xml") - 30  # as readers see it that go from entry to entry, without the directory
    flags, checksum, packed, unpacked, extra = struct.unpack_from("<6xH6x3I2xH", answer, header)
    assert not flags & 8
    assert (checksum, unpacked, extra) == (zlib.crc32(text), len(text), 0)
    assert zlib.decompress(answer[header + 35 : header + 35 + packed], -15) == text
    with zipfile.ZipFile(io.BytesIO(answer)) as after:
        assert after.testzip() is None
        assert (after.read("s.xml"), after.read("z.txt")) == (text, b"stays")
    assert open_document(answer).rebuild(document.working) == pipe.written


def test_bytes_before_an_archive_are_kept() -> None:
    data = b"PK says hello" + small_archive()
    document = open_document(data)
    answer = document.rebuild(document.working.replace(b"<rest/>", b"<rest /> "))
    assert answer.startswith(b"PK says hello")
    with zipfile.ZipFile(io.BytesIO(answer)) as after:
        assert after.testzip() is None
    assert open_document(answer).rebuild(document.working) == data


def test_an_archive_changed_by_others_stands_for_itself() -> None:
    data = small_archive()
    document = open_document(data)
    marked = document.rebuild(document.working.replace(b"<rest/>", b"<rest/><!--ours-->"))
    last = marked.rindex(b"about last.txt")  # in the directory in force, not in the one put aside
    changed = marked[:last] + b"A" + marked[last + 1 :]
    rebuilt = open_document(changed).rebuild(document.working)
    assert rebuilt != data
    with zipfile.ZipFile(io.BytesIO(rebuilt)) as after:
        assert after.read("in/score.xml") == document.working
        assert after.getinfo("last.txt").comment == b"About last.txt"
