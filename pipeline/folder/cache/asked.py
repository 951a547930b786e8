"""The options of a build as plain texts, so that a later run can build the same way."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from enum import Enum
from typing import Any

from pipeline.model.artefacts import Form
from pipeline.model.interval import Interval, Refused, parse_interval, parse_ranges
from pipeline.model.options import Options

_DEFAULTS = Options()


class UnknownOptionsError(ValueError):
    """Options that this version does not know; the message names them."""


def options_told(options: Options) -> dict[str, str]:
    """Every option by its name, as it would be typed; empty for one that is not set."""
    return {field.name: _told(getattr(options, field.name)) for field in fields(options)}


def _told(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, Enum):
        return str(value.value)
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, Interval):
        return value.name
    if isinstance(value, tuple):
        ranges = [":".join(pitch.name for pitch in part) for part in value if isinstance(part, tuple)]
        return ",".join(ranges) or " ".join(str(part.value) for part in value if isinstance(part, Form))
    raise TypeError(f"{value!r} is no option")


def options_read(told: Mapping[str, str]) -> Options:
    """The options told by :func:`options_told`; one that is not told is as usual. Raises UnknownOptionsError."""
    known = {field.name for field in fields(Options)}
    strange = sorted(set(told) - known)
    if strange:
        raise UnknownOptionsError(", ".join(strange))
    return Options(**{name: _read(name, text) for name, text in told.items()})


def _read(name: str, text: str) -> Any:
    usual = getattr(_DEFAULTS, name)
    try:
        if isinstance(usual, bool):
            return {"yes": True, "no": False}[text]
        if isinstance(usual, Enum):
            return type(usual)(text)
        if name == "staff_height":
            return float(text) if text else None
        if name == "forms":
            return tuple(Form(word) for word in text.split())
        if name == "tempo":
            return int(text) if text else None
        found = None if not text else parse_interval(text) if name == "transpose" else parse_ranges(text)
    except (KeyError, ValueError) as error:
        raise UnknownOptionsError(f"{name} {text}") from error
    if isinstance(found, Refused):
        raise UnknownOptionsError(f"{name} {text}")
    return found
