"""Signs quoted in a note on another source, read as if they stood in the tablature."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from pipeline.model.signs import Event, Sign, Signs
from pipeline.model.time import Value
from pipeline.source.parse.cursor import Cursor, FaultError
from pipeline.source.parse.events import shape_of
from pipeline.source.parse.heads import read_value
from pipeline.source.parse.signs import read_french, read_italian

T = TypeVar("T")
_READERS = {Signs.ITALIAN: read_italian, Signs.FRENCH: read_french}


def quoted_sign(text: str, signs: Signs) -> Sign | None:
    """The figure or letter that a text is, and nothing else; None for words."""
    sign = _whole(text, _READERS[signs])
    return None if sign is None or sign.shorthand else sign


def quoted_events(text: str, signs: Signs) -> tuple[Event, ...] | None:
    """The events that a text is, and nothing else; None for words."""
    events = [shape_of(word, signs).event for word in text.split()]
    known = tuple(event for event in events if event is not None)
    return known if known and len(known) == len(events) else None


def quoted_value(text: str) -> Value | None:
    """The rhythm sign that a text is, and nothing else; None for words."""
    return _whole(text, read_value)


def _whole(text: str, read: Callable[[Cursor], T]) -> T | None:
    cursor = Cursor(text)
    try:
        found = read(cursor)
    except FaultError:
        return None
    return found if cursor.done else None
