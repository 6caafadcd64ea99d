"""The seal on a copy in ABC: a comment, true as long as nothing has changed, and taken off without a trace."""

from __future__ import annotations

import pytest

from service.config.options import read_options
from service.musicxml.formats.abc.seal import seal_is_intact, sealed, unsealed
from service.usecases.annotate import annotate
from service.usecases.marked_copy import is_untouched, sealed_copy, sealed_file

TUNE = b"X:1\nT:Quay\nM:4/4\nL:1/4\nK:C\ne a c' d'|"


@pytest.mark.parametrize("line_break", [b"\n", b"\r\n", b"\r"])
@pytest.mark.parametrize("end", [b"", b"\n", b"\n\n"])
def test_a_seal_is_true_until_a_byte_changes(line_break: bytes, end: bytes) -> None:
    text = (TUNE + end).replace(b"\n", line_break)
    made = sealed(text)
    assert made.startswith(text)
    assert seal_is_intact(made)
    assert unsealed(made) == text
    assert sealed(made) == made
    assert not seal_is_intact(text)
    assert not seal_is_intact(made + b"\n")
    for place in range(len(made)):
        assert not seal_is_intact(made[:place] + bytes([made[place] ^ 1]) + made[place + 1 :])


def test_a_false_seal_is_replaced() -> None:
    changed = sealed(TUNE + b"\n").replace(b"Quay", b"Jetty")
    assert unsealed(changed) == TUNE.replace(b"Quay", b"Jetty") + b"\n"
    assert seal_is_intact(sealed(changed))


def test_a_sealed_copy_is_the_same_tune() -> None:
    options = read_options({"notation": ["abc"], "fingers": ["all"]})
    answer = annotate(TUNE, options)
    copy = sealed_copy(answer)
    assert copy.startswith(answer.data)
    assert copy == sealed_file(answer.data, "abc")
    assert is_untouched(copy)
    assert not is_untouched(copy + b"\n")
    assert annotate(copy, options).data == answer.data
