"""Signs quoted in a note on another source, read as if they stood in the tablature."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from pipeline.model.signs import Event, Sign, Signs
from pipeline.model.tablature import BarlineKind
from pipeline.model.time import Value
from pipeline.source.parse.cursor import Cursor, FaultError
from pipeline.source.parse.events import shape_of
from pipeline.source.parse.heads import read_value
from pipeline.source.parse.signs import read_french, read_italian

T = TypeVar("T")
_LINES = {kind.value: kind for kind in BarlineKind}
_READERS = {Signs.ITALIAN: read_italian, Signs.FRENCH: read_french}


def quoted_sign(text: str, signs: Signs) -> Sign | None:
    """The figure or letter that a text is, and nothing else; None for words."""
    sign = _whole(text, _READERS[signs])
    return None if sign is None or sign.shorthand else sign


def quoted_events(text: str, signs: Signs) -> tuple[Event, ...] | None:
    """The events that a text is, and nothing else; None for words."""
    shapes = [shape_of(word, signs) for word in text.split()]
    known = tuple(shape.event for shape in shapes if shape.event is not None and not shape.shorthand)
    return known if known and len(known) == len(shapes) else None


def quoted_value(text: str) -> Value | None:
    """The rhythm sign that a text is, and nothing else; None for words."""
    return _whole(text, read_value)


def quoted_barline(text: str) -> BarlineKind | None:
    """The bar line that a text is, and nothing else; None for words."""
    return _LINES.get(text)


def _whole(text: str, read: Callable[[Cursor], T]) -> T | None:
    cursor = Cursor(text)
    try:
        found = read(cursor)
    except FaultError:
        return None
    return found if cursor.done else None
