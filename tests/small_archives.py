"""Score files made by hand for the tests of containers: plain and in archives."""

from __future__ import annotations

import io
import zipfile

DOCTYPE = (
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">\n'
)
BODY = (
    "<score-partwise><part-list><score-part id='P1'><part-name>Violine é</part-name></score-part></part-list>"
    "<part id='P1'><measure number='1'><note><rest/><duration>1</duration></note></measure></part></score-partwise>\n"
)
CONTAINER = '<container><rootfiles><rootfile full-path="{}"/><rootfile full-path="print.pdf"/></rootfiles></container>'


def score(encoding: str = "UTF-8", body: str = BODY, doctype: str = DOCTYPE) -> str:
    return f"<?xml version='1.0' encoding='{encoding}'?>\n{doctype}{body}"


def archive(*entries: tuple[str, bytes], method: int = zipfile.ZIP_DEFLATED, comment: bytes = b"") -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", method) as made:
        for name, content in entries:
            info = zipfile.ZipInfo(name, (2001, 2, 3, 4, 5, 6))
            info.compress_type = zipfile.ZIP_STORED if name == "mimetype" else method
            info.external_attr = 0o640 << 16
            info.comment = b"about " + name.encode()
            made.writestr(info, content)
        made.comment = comment
    return buffer.getvalue()


def small_archive(text: bytes | None = None, **options: int) -> bytes:
    return archive(
        ("mimetype", b"application/vnd.recordare.musicxml"),
        ("a-decoy.xml", b"<score-partwise/>"),
        ("META-INF/container.xml", CONTAINER.format("in/score.xml").encode()),
        ("in/score.xml", text or score().encode()),
        ("last.txt", b"stays"),
        **options,
    )
