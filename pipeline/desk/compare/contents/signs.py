"""Edited signs by their plain names."""

from __future__ import annotations

from pipeline.model.signs import Reading
from pipeline.model.time import Value


def value_reading(reading: Reading[Value]) -> Reading[str]:
    """A rhythm sign by its typed name."""
    edition = reading.edition.name if reading.edition is not None else None
    source = reading.source.name if reading.source is not None else None
    return Reading(reading.act, edition, source, reading.doubtful, reading.source_doubtful)


def mark_name(letter: str | None, declared: dict[str, str]) -> str | None:
    """A mark by its printed sign, where its letter is declared with one."""
    if letter is None or letter not in declared:
        return letter
    return f"“{declared[letter]}”"
