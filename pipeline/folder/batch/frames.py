"""Messages between a process and the one that guards it: a length, then a pickled value."""

from __future__ import annotations

import pickle
import struct
from typing import IO, Any

_LENGTH = struct.Struct("<Q")


def send(stream: IO[bytes], value: object) -> None:
    """Write one message. Raises OSError if nobody listens."""
    data = pickle.dumps(value, pickle.HIGHEST_PROTOCOL)
    stream.write(_LENGTH.pack(len(data)))
    stream.write(data)
    stream.flush()


def receive(stream: IO[bytes]) -> Any:
    """Read one message. Raises EOFError if the other side ends before it is whole."""
    head = stream.read(_LENGTH.size)
    if len(head) < _LENGTH.size:
        raise EOFError
    (length,) = _LENGTH.unpack(head)
    data = stream.read(length)
    if len(data) < length:
        raise EOFError
    return pickle.loads(data)
