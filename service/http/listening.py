"""A listening socket that lets nobody in any more, so that who was let in before can be answered before it closes.

Between the last `accept` and `close` another client can connect, whom closing then resets. So packets that ask for a
new connection are dropped first; those who ask then are refused when they ask again, a second later.
Source: Linux, Documentation/networking/filter.rst (`SO_ATTACH_FILTER`); RFC 9293, 3.1 (the flags of a segment).
"""

from __future__ import annotations

import ctypes
import socket
import struct
import sys

SETTLE = 0.05
"""Seconds after which whoever was asking when the door was shut is connected or has to ask again."""

_SO_ATTACH_FILTER = 26
_FLAGS_AT, _SYN, _ACK = 13, 0x02, 0x10
_LOAD_BYTE, _AND, _JUMP_IF_EQUAL, _RETURN = 0x30, 0x54, 0x15, 0x06
_DROP, _KEEP = 0, 0xFFFFFFFF
# Code, how many to skip if true, if false, value: a segment with SYN and without ACK is dropped.
_PROGRAM = (
    (_LOAD_BYTE, 0, 0, _FLAGS_AT),
    (_AND, 0, 0, _SYN | _ACK),
    (_JUMP_IF_EQUAL, 0, 1, _SYN),
    (_RETURN, 0, 0, _DROP),
    (_RETURN, 0, 0, _KEEP),
)


def shut(listening: socket.socket) -> None:
    """Let nobody else connect, in any process that shares the socket; where the system cannot, nothing is changed."""
    if sys.platform != "linux":
        return
    program = ctypes.create_string_buffer(b"".join(struct.pack("HBBI", *each) for each in _PROGRAM))
    address = struct.pack("HP", len(_PROGRAM), ctypes.addressof(program))
    listening.setsockopt(socket.SOL_SOCKET, _SO_ATTACH_FILTER, address)
