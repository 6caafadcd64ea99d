"""The seal on a copy: true as long as nothing has changed, and taken off without a trace."""

from __future__ import annotations

import pytest

from service.musicxml.write.cleaning import clean
from service.musicxml.write.seal import seal_is_intact, sealed, unsealed

TEXT = b"<score-partwise><part/></score-partwise>\n"
SEAL = sealed(b"")


def test_a_seal_is_true_until_a_byte_changes() -> None:
    made = sealed(TEXT, b"others")
    assert seal_is_intact(made, b"others")
    assert not seal_is_intact(made, b"other")
    assert not seal_is_intact(TEXT, b"others")
    assert not seal_is_intact(b"")
    for place in range(len(made)):
        assert not seal_is_intact(made[:place] + bytes([made[place] ^ 1]) + made[place + 1 :], b"others")


@pytest.mark.parametrize("behind", [b"", b"\n", b" \r\n\t"])
def test_it_is_taken_off_true_or_false(behind: bytes) -> None:
    assert clean(sealed(TEXT) + behind) == TEXT + behind
    assert clean(TEXT + SEAL + behind) == TEXT + behind
    assert clean(sealed(sealed(TEXT))) == TEXT
    assert unsealed(TEXT) is TEXT


@pytest.mark.parametrize("before", [b"<?other ", b"<!-- --><?other x ", b"<?other <?x "])
def test_a_look_alike_within_another_instruction_stays(before: bytes) -> None:
    text = TEXT + before + SEAL
    assert clean(text) is text
    made = sealed(text)
    assert seal_is_intact(made)
    assert clean(made) == text
