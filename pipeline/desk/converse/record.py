"""The answers that an editor gets. Places count lines and columns from 1, in characters; ``end`` is the column behind
the last one."""

from __future__ import annotations

from enum import Enum

from pipeline.model.record import Record
from pipeline.model.text import Span
from pipeline.model.time import Ticks


class TextChange(Record, frozen=True):
    """What stands from ``line``, ``start`` up to ``end_line``, ``end`` becomes ``text``; an empty stretch is a place to
    insert at. The line behind the last one is there too, and empty."""

    line: int
    start: int
    end_line: int
    end: int
    text: str


class FixKind(Enum):
    """What a change follows from."""

    HINT = "hint"  # of a finding
    MISPRINT = "misprint"  # a probable one
    PIN = "pin"  # the editor's own reading


class Fix(Record, frozen=True):
    """A change that the editor may choose. ``code`` and ``span`` are those of the finding that it mends, if any;
    ``sure`` says that there is no other."""

    title: str
    kind: FixKind
    changes: tuple[TextChange, ...]
    code: str = ""
    span: Span | None = None
    sure: bool = False


class Told(Record, frozen=True):
    """What is said of a sign: paragraphs; ``**`` stands around what matters most, back quotes around what is typed."""

    span: Span
    says: tuple[str, ...]


class Choice(Record, frozen=True):
    """Something that may be typed in place of what stands from column ``start`` up to ``end``. ``says`` is what it
    means; ``group`` is what it is one of."""

    text: str
    says: str
    group: Group
    start: int
    end: int


class Group(Enum):
    """What kind of thing may be typed."""

    LINE = "line"
    VALUE = "value"
    INSTRUMENT = "instrument"
    MARK = "mark"
    LABEL = "label"
    SECTION = "section"
    NAME = "name"


class Part(Enum):
    """What kind of thing stands in the outline."""

    HEADING = "heading"
    SECTION = "section"
    BAR = "bar"


class Outlined(Record, frozen=True):
    """One entry of the outline: from the beginning of its first line to the end of its ``last_line``, ``name_span``
    what names it."""

    part: Part
    name: str
    says: str
    name_span: Span
    last_line: int
    inside: tuple[Outlined, ...] = ()


class Lead(Record, frozen=True):
    """What stands at ``origin`` leads to ``target``, which may be in a folder's heading."""

    origin: Span
    target: Span


class Pitched(Record, frozen=True):
    """The pitches that sound at an event, to be shown behind it."""

    line: int
    column: int
    names: str


class NoteSaid(Record, frozen=True):
    """What the reading makes of one stop: its names as it sounds and as its line is meant, its voice of how many, its
    length, and why, in whole sentences."""

    stop: str
    name: str
    meant: str
    voice: int
    voices: int
    length: Ticks
    why: tuple[str, ...] = ()


class Insight(Record, frozen=True):
    """What the reading of a whole piece has to say of its signs."""

    notes: tuple[NoteSaid, ...] = ()
