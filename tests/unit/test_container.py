"""Opening and rebuilding: kinds, encodings, limits, and what is refused in which words."""

from __future__ import annotations

import codecs
import pickle
import struct
import zipfile

import pytest

from service.config.file_limits import Limits
from service.errors import ScoreError
from service.musicxml.file.container import open_document
from tests.small_archives import BODY, CONTAINER, archive, score, small_archive


def refusal(data: bytes, limits: Limits | None = None) -> ScoreError:
    with pytest.raises(ScoreError) as caught:
        open_document(data, limits or Limits())
    assert caught.value.message.endswith((".", "…"))
    assert caught.value.advice
    return caught.value


@pytest.mark.parametrize(
    ("data", "encoding"),
    [
        pytest.param(score().encode(), "utf-8", id="utf-8"),
        pytest.param(codecs.BOM_UTF8 + score().encode(), "utf-8", id="utf-8 with mark"),
        pytest.param(BODY.encode(), "utf-8", id="no declaration"),
        pytest.param(score("ISO-8859-1").encode("latin-1"), "iso8859-1", id="latin 1"),
        pytest.param(codecs.BOM_UTF16_LE + score("UTF-16").encode("utf-16-le"), "utf-16-le", id="utf-16 le"),
        pytest.param(codecs.BOM_UTF16_BE + score("UTF-16").encode("utf-16-be"), "utf-16-be", id="utf-16 be"),
        pytest.param(score("UTF-16").encode("utf-16-le"), "utf-16-le", id="utf-16 le without mark"),
        pytest.param(codecs.BOM_UTF16_LE + score("UTF-8").encode("utf-16-le"), "utf-16-le", id="declared wrongly"),
        pytest.param(codecs.BOM_UTF16_BE + BODY.encode("utf-16-be"), "utf-16-be", id="utf-16 be undeclared"),
        pytest.param(codecs.BOM_UTF8 + score("ISO-8859-1").encode(), "utf-8", id="the mark wins"),
        pytest.param(score(doctype="").encode().replace(b"\n", b"\r"), "utf-8", id="bare CR, no DOCTYPE"),
    ],
)
def test_encodings(data: bytes, encoding: str) -> None:
    document = open_document(data)
    assert (document.kind, document.encoding) == ("xml", encoding)
    assert document.root.findtext(".//part-name") == "Violine é"
    assert document.rebuild(document.working) is data
    changed = document.rebuild(document.working.replace(b"<rest/>", b"<rest /> "))
    assert len(changed) - len(data) == (4 if encoding.startswith("utf-16") else 2)
    again = open_document(changed)
    assert again.encoding == encoding
    assert again.rebuild(again.working.replace(b"<rest /> ", b"<rest/>")) == data


def test_prepare_changes_what_is_parsed_and_the_file_is_still_known() -> None:
    data = score().encode()
    document = open_document(data, prepare=lambda text: text.replace(b"<rest/>", b"<unpitched/>"))
    assert document.root.find(".//unpitched") is not None
    assert b"<unpitched/>" in document.rebuild(document.working)
    assert document.rebuild(data) is data


def test_an_error_names_the_line_of_the_file_as_sent() -> None:
    data = score().encode().replace(b"<part-list>", b"\n\n\n<part-list>").replace(b"</measure>", b"&</measure>")
    with pytest.raises(ScoreError) as caught:
        open_document(data, prepare=lambda text: text.replace(b"\n", b""))
    assert caught.value.where is not None
    assert caught.value.where.startswith("line 6,")


ENTITY = '<!DOCTYPE score-partwise [<!ELEMENT a ANY><!ENTITY e "x">]>'
LAUGHS = (
    '<!DOCTYPE score-partwise [<!ENTITY a "ha">'
    + "".join(f'<!ENTITY {new} "{f"&{old};" * 20}">' for old, new in zip("abcdefgh", "bcdefghi", strict=True))
    + "]>"
)


@pytest.mark.parametrize(
    ("data", "code", "status"),
    [
        pytest.param(b"", "empty", 400, id="empty"),
        pytest.param(b" \r\n\t", "empty", 400, id="blank"),
        pytest.param(codecs.BOM_UTF8, "empty", 400, id="nothing but a mark"),
        pytest.param(b"<!doctype html><html><body>sign in</body></html>", "html-page", 415, id="HTML"),
        pytest.param(
            b"<?xml version='1.0'?><html xmlns='http://www.w3.org/1999/xhtml'/>", "html-page", 415, id="XHTML"
        ),
        pytest.param(b"Dear Sir or Madam", "not-xml", 415, id="text"),
        pytest.param(b"MThd\0\0\0\6", "not-xml", 415, id="MIDI"),
        pytest.param(b"%PDF-1.7", "not-xml", 415, id="PDF"),
        pytest.param(b"\0\1\2\3", "not-xml", 415, id="binary"),
        pytest.param(score().encode().replace(b"<rest/>", b"<rest>"), "malformed-xml", 400, id="tags crossed"),
        pytest.param(score().encode().replace(b"<rest/>", b"&"), "malformed-xml", 400, id="bare ampersand"),
        pytest.param(score().encode().replace(b"<rest/>", b"\0"), "malformed-xml", 400, id="control character"),
        pytest.param(score().encode() + b"<more/>", "malformed-xml", 400, id="two roots"),
        pytest.param(score().encode("latin-1"), "malformed-xml", 400, id="wrong encoding declared"),
        pytest.param(codecs.BOM_UTF16_LE + b"<\0a", "encoding-wrong", 400, id="half a character"),
        pytest.param(score("UTF-7").encode("latin-1"), "encoding-unsupported", 415, id="UTF-7"),
        pytest.param(score("Shift_JIS").encode("shift-jis", "ignore"), "encoding-unsupported", 415, id="Shift JIS"),
        pytest.param(score("x-ours").encode(), "encoding-unsupported", 415, id="unknown encoding"),
        pytest.param(score().encode("utf-32"), "encoding-unsupported", 415, id="UTF-32"),
        pytest.param(score(doctype=ENTITY).encode(), "entities-declared", 400, id="an entity"),
        pytest.param(
            score(doctype=ENTITY.replace("e ", "% e ")).encode(), "entities-declared", 400, id="parameter entity"
        ),
        pytest.param(score(doctype=LAUGHS).replace("é", "&i;").encode(), "entities-declared", 400, id="a billion"),
        pytest.param(
            score(doctype='<!DOCTYPE score-partwise [<!ENTITY e SYSTEM "file:///etc/hostname">]>').encode(),
            "entities-declared",
            400,
            id="a file",
        ),
        pytest.param(b"<score-timewise/>", "timewise", 415, id="timewise"),
        pytest.param(b"<opus/>", "not-musicxml", 415, id="another root"),
        pytest.param(b"<m:score-partwise xmlns:m='u'/>", "namespaced", 415, id="prefix"),
        pytest.param(b"<score-partwise xmlns='u'/>", "namespaced", 415, id="namespace"),
        pytest.param(b"<score-partwise><note xmlns='u'/></score-partwise>", "namespaced", 415, id="namespaced note"),
        pytest.param(b"<a>" * 300 + b"</a>" * 300, "too-deep", 413, id="deep"),
        pytest.param(b"PK\3\4 and no more", "bad-archive", 400, id="archive cut off"),
        pytest.param(small_archive()[:-30], "bad-archive", 400, id="archive without its end"),
        pytest.param(archive(("a.xml", b"<a/>")), "no-container", 415, id="zip of something"),
        pytest.param(archive(), "no-container", 415, id="empty zip"),
        pytest.param(archive(("META-INF/container.xml", b"<a")), "bad-archive", 400, id="container broken"),
        pytest.param(archive(("META-INF/container.xml", b"<a/>")), "bad-archive", 400, id="container names nothing"),
        pytest.param(
            archive(("META-INF/container.xml", CONTAINER.format("../../etc/passwd").encode())),
            "bad-archive",
            400,
            id="container names what is not there",
        ),
        pytest.param(small_archive(b"<a/>"), "not-musicxml", 415, id="archive of another root"),
        pytest.param(small_archive(b" "), "empty", 400, id="archive of nothing"),
        pytest.param(small_archive(method=zipfile.ZIP_BZIP2), "bad-archive", 400, id="unusual compression"),
    ],
)
def test_refusals(data: bytes, code: str, status: int) -> None:
    error = refusal(data)
    assert (error.code, error.status) == (code, status)


def test_wherever_a_score_is_cut_off_it_says_so() -> None:
    data = score().encode()
    for length in range(data.index(b"<score-partwise"), len(data) - len(b">\n")):
        assert refusal(data[: length + 1]).code == "truncated", data[: length + 1]


def test_the_line_is_named() -> None:
    error = refusal(score().encode().replace(b"<rest/>", b"\n\n<rest>"))
    assert error.where == "line 5, column 36"


@pytest.mark.parametrize("name", ["META-INF/container.xml", "in/score.xml"])
def test_a_locked_archive(name: str) -> None:
    data = bytearray(small_archive())
    row = data.rindex(b"PK\1\2", 0, data.rindex(name.encode()))
    data[row + 8] |= 1
    assert refusal(bytes(data)).code == "encrypted-archive"


def test_a_damaged_score_in_an_archive() -> None:
    data = bytearray(small_archive(method=zipfile.ZIP_STORED))
    data[data.index(b"<rest/>") + 1] ^= 1
    assert refusal(bytes(data)).code == "bad-archive"


def test_a_bomb_is_not_unpacked() -> None:
    assert refusal(small_archive(b"<a>" + b" " * 20_000_000 + b"</a>")).code == "unpacks-too-far"


def test_a_forged_size_does_not_help() -> None:
    data = bytearray(small_archive(b"<a>" + b" " * 40_000_000 + b"</a>"))
    row = data.rindex(b"PK\1\2", 0, data.rindex(b"in/score.xml"))
    struct.pack_into("<I", data, row + 24, 1000)
    assert refusal(bytes(data), Limits(ratio=100_000)).code == "too-large"


@pytest.mark.parametrize(
    ("limits", "data", "code"),
    [
        (Limits(upload_bytes=100), score().encode(), "too-large"),
        (Limits(unpacked_bytes=100), score().encode(), "too-large"),
        (Limits(unpacked_bytes=100), small_archive(), "too-large"),
        (Limits(container_bytes=100), small_archive(), "too-large"),
        (Limits(entries=4), small_archive(), "too-many"),
        (Limits(notes=0), score().encode(), "too-many"),
        (Limits(tags=10), score().encode(), "too-many"),
    ],
)
def test_limits(limits: Limits, data: bytes, code: str) -> None:
    error = refusal(data, limits)
    assert (error.code, error.status) == (code, 413)
    open_document(data)


def test_a_document_type_with_declarations_but_no_entities_is_read() -> None:
    doctype = '<!DOCTYPE score-partwise [<!-- ]> <!ENTITY x "y"> --> <!ELEMENT note ANY> <?p ]> ?> ]>'
    data = score(doctype=doctype.replace('<!ENTITY x "y">', "<note>")).encode()
    assert open_document(data).rebuild(open_document(data).working + b"<!---->") == data + b"<!---->"


def test_an_error_survives_the_way_between_processes() -> None:
    error = refusal(b"")
    back = pickle.loads(pickle.dumps(error))
    assert vars(back) == vars(error)
    assert str(back) == "The file is empty. Send a MusicXML file (.musicxml, .xml or .mxl)."
