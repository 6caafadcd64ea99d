"""Reads and writes files for the commands: `-` is a standard stream, and no file is ever left half written.

A device, a FIFO and an open descriptor (`/dev/stdout`) are written to as they stand. A file is replaced when all of it
is on the disk; a symbolic link is followed, mode and owner stay. Every fault names the file as the user named it.
"""

from __future__ import annotations

import errno
import os
import re
import stat
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import BinaryIO, Protocol

from ..errors import ScoreError, said

INPUT_NAME, OUTPUT_NAME = said("standard input"), said("standard output")
_MOST_LINKS = 40  # as many as Linux follows
_DESCRIPTOR = re.compile(r"/proc/(\d+)/fd/(\d+)")


class _Raw(Protocol):
    def write(self, data: memoryview, /) -> int | None: ...

    def flush(self) -> None: ...


class Output:
    """Where a command writes to; every byte arrives or there is an error."""

    def __init__(self, file: _Raw, *, at_once: bool = False) -> None:
        self._file, self._at_once = file, at_once

    def write(self, data: bytes) -> None:
        """Write all of the data: a stream without a buffer may take only some of it at a time."""
        rest = memoryview(data)
        while rest:
            taken = self._file.write(rest)
            if not taken:
                raise BlockingIOError(errno.EAGAIN, os.strerror(errno.EAGAIN))
            rest = rest[taken:]
        if self._at_once:
            self._file.flush()


def printable_name(name: str) -> str:
    """Return the name of a file as it can be shown and stored, with control characters and broken text escaped."""
    from unicodedata import category

    return "".join(_escaped(sign) if category(sign) in _UNPRINTABLE else sign for sign in name)


_UNPRINTABLE = {"Cc", "Cs", "Zl", "Zp"}  # controls, bytes that are no text, ends of lines and paragraphs
_BYTE = 0xDC00  # how Python keeps a byte of a name that is no text (PEP 383)


def _escaped(sign: str) -> str:
    code = ord(sign)
    return f"\\x{code - _BYTE:02x}" if 0 <= code - _BYTE < 0x100 else sign.encode("unicode_escape").decode()


def read_file(name: str) -> bytes:
    """Return what is in a file, or on standard input."""
    if not name:
        raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT), name)
    if name != "-":
        with open(name, "rb") as file:
            return file.read()
    with _named(INPUT_NAME):
        if sys.stdin is None:
            raise OSError(errno.EBADF, os.strerror(errno.EBADF))
        return sys.stdin.buffer.read()


def read_text(name: str) -> str:
    """Return the text of a file in UTF-8, or on standard input.

    Raises:
        ScoreError: `not-text`, if it is no UTF-8.
    """
    try:
        return read_file(name).decode("utf-8")
    except UnicodeDecodeError:
        raise ScoreError(
            "not-text", said("{file} is no text in UTF-8.", file=name), said("Save it as UTF-8."), None, 400
        ) from None


def write_file(name: str, data: bytes) -> None:
    """Write a file whole or not at all, or to a standard stream, a device or a FIFO."""
    with open_output(name) as output:
        output.write(data)


@contextmanager
def open_output(name: str) -> Iterator[Output]:
    """Open what a command writes to; see the head of this module.

    Raises:
        OSError: it cannot be written; `filename` is the name as given.
    """
    if name == "-":
        with _named(OUTPUT_NAME):
            if sys.stdout is None:
                raise OSError(errno.EBADF, os.strerror(errno.EBADF))
            sys.stdout.flush()
            yield Output(sys.stdout.buffer, at_once=sys.stdout.isatty())
            sys.stdout.buffer.flush()
        return
    with _named(name), _opened(name) as file:
        yield Output(file)


@contextmanager
def _named(name: str) -> Iterator[None]:
    """Put the name that the user typed into errors that name no file, or a temporary one."""
    try:
        yield
    except OSError as error:
        if error.filename is None or str(error.filename).endswith(_PARTIAL):
            raise OSError(error.errno or errno.EIO, error.strerror or said("cannot be written"), name) from None
        raise


_PARTIAL = ".handframe.part"


@contextmanager
def _opened(name: str) -> Iterator[BinaryIO]:
    descriptor = _open_descriptor(name)
    if descriptor is not None:
        with open(os.dup(descriptor), "wb") as file:
            yield file
        return
    try:
        there = os.stat(name)
    except FileNotFoundError:
        there = None
    if there is not None and not stat.S_ISREG(there.st_mode):
        with open(name, "wb") as file:  # a folder is refused here
            yield file
        return
    with _whole_file(os.path.realpath(name), there) as file:
        yield file


def _open_descriptor(name: str) -> int | None:
    """The descriptor of this process that a name such as /dev/stdout leads to."""
    for _ in range(_MOST_LINKS):
        name = os.path.join(os.path.realpath(os.path.dirname(name)), os.path.basename(name))
        found = _DESCRIPTOR.fullmatch(name)
        if found and int(found[1]) == os.getpid():
            return int(found[2])
        if not os.path.islink(name):
            break
        name = os.path.join(os.path.dirname(name), os.readlink(name))
    return None


@contextmanager
def _whole_file(target: str, there: os.stat_result | None) -> Iterator[BinaryIO]:
    """Open a temporary file that replaces the target when it is complete, even across a crash."""
    partial = os.path.join(os.path.dirname(target), f".{os.urandom(6).hex()}{_PARTIAL}")
    mode = 0o666 if there is None else stat.S_IMODE(there.st_mode) & 0o777
    if there is not None and not os.access(target, os.W_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
    try:  # a signal may arrive with the new file
        descriptor = os.open(partial, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), mode)
        with open(descriptor, "wb") as file:
            if there is not None:
                _like(descriptor, there)
            yield file
            file.flush()
            os.fsync(descriptor)
        os.replace(partial, target)
    finally:
        with suppress(FileNotFoundError):
            os.unlink(partial)


def _like(descriptor: int, there: os.stat_result) -> None:
    """Give a new file the owner and the mode of the one that it replaces, as far as the system allows."""
    if not hasattr(os, "fchown"):
        return
    with suppress(PermissionError):
        os.fchown(descriptor, there.st_uid, there.st_gid)
    os.fchmod(descriptor, stat.S_IMODE(there.st_mode))
