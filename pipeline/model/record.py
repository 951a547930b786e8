"""Frozen records that are cheap to make.

A build makes some fifty records for each event of a piece. ``dataclass(frozen=True)`` sets every field through
``object.__setattr__``, which takes several times as long as making a ``msgspec.Struct``. The records hold no cycles, so
the collector need not look at them (``gc=False``). They are equal by their fields, hash by them, and can be sent to
other processes.
"""

from __future__ import annotations

import dataclasses
from typing import Any, TypeVar

import msgspec

T = TypeVar("T")


class Record(msgspec.Struct, frozen=True, gc=False):
    """What every record is; a record is a class ``Name(Record, frozen=True)`` with typed fields."""


def replace(record: T, /, **changes: Any) -> T:
    """The same record or dataclass with other values in some fields. Raises TypeError for a field that it lacks."""
    if isinstance(record, Record):
        return msgspec.structs.replace(record, **changes)
    return dataclasses.replace(record, **changes)  # type: ignore[type-var]
