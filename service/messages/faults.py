"""Faults that are not the sender's: what the operating system says of a file or an address, and faults of our own.

The system speaks English; here it is said in words that can be translated.
"""

from __future__ import annotations

import errno
import socket

from ..errors import Sentence, said

_TEXTS = {
    errno.ENOENT: said("No such file or directory"),
    errno.EACCES: said("Permission denied"),
    errno.EPERM: said("Operation not permitted"),
    errno.EISDIR: said("Is a directory"),
    errno.ENOTDIR: said("Not a directory"),
    errno.EEXIST: said("File exists"),
    errno.ENAMETOOLONG: said("File name too long"),
    errno.ENOSPC: said("No space left on device"),
    errno.EDQUOT: said("Disk quota exceeded"),
    errno.EFBIG: said("File too large"),
    errno.EROFS: said("Read-only file system"),
    errno.EBADF: said("Bad file descriptor"),
    errno.EPIPE: said("Broken pipe"),
    errno.EIO: said("Input/output error"),
    errno.EAGAIN: said("Resource temporarily unavailable"),
    errno.EMFILE: said("Too many open files"),
    errno.ENXIO: said("No such device or address"),
    errno.EINVAL: said("Invalid argument"),
    errno.ELOOP: said("Too many levels of symbolic links"),
    errno.EADDRINUSE: said("Address already in use"),
    errno.EADDRNOTAVAIL: said("Cannot assign requested address"),
    socket.EAI_NONAME: said("Name or service not known"),
}


def system_reason(fault: OSError) -> str:
    """Return what went wrong; what is in no table stays as the system says it."""
    return _TEXTS.get(fault.errno or 0) or fault.strerror or said("cannot be used")


def our_fault(fault: BaseException) -> Sentence:
    """Return the sentence for an exception that nobody foresaw: where it arose, never its name or text."""
    place: Sentence | None = None
    trace = fault.__traceback__
    while trace is not None:
        frame, line, trace = trace.tb_frame, trace.tb_lineno, trace.tb_next
        module = str(frame.f_globals.get("__name__", ""))
        if module.split(".")[0] in ("rules", "service"):
            place = said("{module}, line {line}", module=module, line=line)
    if place is None:
        return said("This is a fault of ours. Please report it with the score.")
    return said("This is a fault of ours ({place}). Please report it with the score.", place=place)
