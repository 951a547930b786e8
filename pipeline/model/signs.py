"""Signs of a page as typed: readings, marks, stops, heads, events. Nothing is derived here.

The records mirror the grammar in ``schemas/encoding.ebnf``; each says which rule it holds.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Generic, TypeVar

from pipeline.model.record import Record
from pipeline.model.text import Span
from pipeline.model.time import Value

T_co = TypeVar("T_co", covariant=True)


T = TypeVar("T")


class Signs(Enum):
    """The system of fret and diapason signs."""

    ITALIAN = "italian"
    FRENCH = "french"


class Act(Enum):
    """What stands between the source and the edition at one sign."""

    PRINTED = "printed"  # S        the source has it, the edition reads it
    ADDED = "added"  # S!       the source has nothing
    EMENDED = "emended"  # S!S      the source has something else
    SUPPLIED_ILLEGIBLE = "supplied, illegible"  # S!?
    SUPPLIED_LOST = "supplied, lost"  # S!*
    REMOVED = "removed"  # !S       the edition leaves it out
    ILLEGIBLE = "illegible"  # ?        no reading
    LOST = "lost"  # *        no reading


@dataclass(frozen=True, slots=True)
class Reading(Generic[T_co]):
    """Rule ``ed(S)``: what the edition reads and what the source has, kept apart.

    ``edition`` is None when the sign is removed, illegible or lost; ``source`` is None when the source
    has nothing readable. When the act is PRINTED both are the same object.
    """

    act: Act
    edition: T_co | None
    source: T_co | None
    doubtful: bool = False  # ``?`` behind the edition's reading
    source_doubtful: bool = False  # ``?`` behind the source's reading


def printed(value: T, *, doubtful: bool = False) -> Reading[T]:
    """A reading in which the edition follows the source."""
    return Reading(Act.PRINTED, value, value, doubtful)


class Label(Record, frozen=True):
    """``"a``: ties a sign to a note line of the same bar."""

    letter: str
    span: Span


#: The mark at a stop that says to hold the finger down: a printed star.
HOLD_MARK = "h"


class MarkGroup(Record, frozen=True):
    """Rule ``marks``: what stands behind one tick; several readings only if all are plain."""

    marks: tuple[Reading[str], ...]
    labels: tuple[Label, ...]
    span: Span


class Slur(Enum):
    """``_`` before a stop: joined to the stop before on the same course by the left hand."""

    PRINTED = "_"
    ADDED = "_!"
    DOUBTFUL = "_?"
    REMOVED = "!_"


class FretState(Enum):
    """What stands where a fret should."""

    READ = "read"
    ILLEGIBLE = "illegible"  # 3:?
    LOST = "lost"  # 3:*
    HOLD = "hold"  # 3:-   the line of a held note reaches here; nothing is struck


class Sign(Record, frozen=True):
    """Rule ``sign``: one figure or letter on one course.

    ``course`` is 1 … n as counted, or None if the line is unclear (``?:2``) or lost (``*:2``); ``course_sign``
    keeps that ``?`` or ``*``. ``fret`` is None unless ``state`` is READ. ``typed`` is the fret or diapason
    sign to the letter (``X`` or ``10``, ``i`` or ``y``, ``//a``), empty for a hold on a stopped course.
    ``bare`` says a diapason typed without a course.
    """

    course: int | None
    fret: int | None
    state: FretState
    typed: str
    bare: bool = False
    dots: int = 0  # right-hand dots under the sign
    course_sign: str = ""
    #: True where the course was left out by the typing shorthand ``:2`` and taken from the stop before.
    shorthand: bool = False


class Stop(Record, frozen=True):
    """Rule ``stop``. ``after`` is true where it is set after (``>``) the stop before it, not with it."""

    reading: Reading[Sign]
    span: Span
    slur: Slur | None = None
    after: bool = False
    labels: tuple[Label, ...] = ()
    marks: tuple[MarkGroup, ...] = ()

    @property
    def sign(self) -> Sign | None:
        """What the edition reads."""
        return self.reading.edition

    @property
    def starred(self) -> bool:
        """Whether the edition reads a star that says to hold it."""
        return any(reading.edition == HOLD_MARK for group in self.marks for reading in group.marks)


class Group(Record, frozen=True):
    """Rule ``group``: ``/3`` = three in the time of two, ``/5:4`` = five in the time of four.

    ``typed_time`` is None where the second number was left out; ``time`` is what it means then.
    """

    notes: int
    time: int
    typed_time: int | None
    added: bool = False


class Head(Record, frozen=True):
    """Rule ``head``: what stands over an event."""

    value: Reading[Value] | None
    span: Span
    beamed: bool = False
    group: Group | None = None
    opening_labels: tuple[Label, ...] = ()
    labels: tuple[Label, ...] = ()
    marks: tuple[MarkGroup, ...] = ()
    #: A second sign printed beside the first: the event lasts both together, and this one holds on.
    second: Value | None = None


class Body(Enum):
    """What an event holds under its head."""

    STOPS = "stops"
    NOTHING = "-"  # under a sign: a rest; alone: a place left blank
    AS_BEFORE = "="  # the chord before, not printed again


class Event(Record, frozen=True):
    """Rule ``event``: one word, one event."""

    span: Span
    head: Head | None
    body: Body
    stops: tuple[Stop, ...] = ()

    @property
    def marks(self) -> frozenset[str | None]:
        """The letters of the marks over it, as the edition reads them."""
        if self.head is None:
            return frozenset()
        return frozenset(reading.edition for group in self.head.marks for reading in group.marks)


class Unread(Record, frozen=True):
    """A token that could not be read: kept to the letter, so that nothing typed is lost.

    ``head`` is what stands over it where that much could be read, so that time can go on.
    """

    text: str
    span: Span
    head: Head | None = None
