"""What is inside a record, whichever way it is made."""

from __future__ import annotations

import dataclasses

from pipeline.model.record import Record


def is_record(value: object) -> bool:
    """True for an instance of a record or of a dataclass."""
    return isinstance(value, Record) or (dataclasses.is_dataclass(value) and not isinstance(value, type))


def names(record: object) -> tuple[str, ...]:
    """The names of its fields, in order. Raises TypeError for anything but a record."""
    if isinstance(record, Record):
        return record.__struct_fields__
    if dataclasses.is_dataclass(record):
        return tuple(field.name for field in dataclasses.fields(record))
    raise TypeError(f"{type(record).__name__} is no record")


def parts(record: object) -> list[object]:
    """The values of its fields, in order."""
    return [getattr(record, name) for name in names(record)]
