"""What the marks at a sign mean for its notation: brackets, doubts, fingers, ornaments, strums."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from pipeline.model.heading import Heading
from pipeline.model.notes import Editorial, Ornament, Place, RhythmSign
from pipeline.model.record import Record
from pipeline.model.signs import HOLD_MARK, Act, Event, MarkGroup, Reading, Stop
from pipeline.model.time import Value

_SUPPLIED = (Act.ADDED, Act.SUPPLIED_ILLEGIBLE, Act.SUPPLIED_LOST)
_LEFT = "1234"
_RIGHT = "pima"
#: How the star that says to hold is printed in the tablature.
HOLD_STAR = "*"
_PLACES = {place.value: place for place in Place}


def editorial(reading: Reading[object]) -> Editorial:
    """How a reading is marked in the edition."""
    bracketed = reading.act in _SUPPLIED
    if bracketed:
        return Editorial.BRACKETED_DOUBTFUL if reading.doubtful else Editorial.BRACKETED
    return Editorial.DOUBTFUL if reading.doubtful else Editorial.PLAIN


def letters(groups: Iterable[MarkGroup]) -> Iterator[tuple[str, Editorial]]:
    """The marks that the edition reads, one by one."""
    for group in groups:
        for reading in group.marks:
            if reading.edition is not None:
                yield reading.edition, editorial(reading)


class StopMarks(Record, frozen=True):
    """Marks of one stop. ``line_on`` is a printed line to the next stop, ``star`` the one that says to hold."""

    left_finger: str = ""
    right_finger: str = ""
    ornaments: tuple[Ornament, ...] = ()
    line_on: bool = False
    star: Ornament | None = None
    barre: bool = False


NO_MARKS = StopMarks()


def stop_marks(stop: Stop, heading: Heading) -> StopMarks:
    """Fingers and ornaments at a stop."""
    if not stop.marks:
        return NO_MARKS
    left, right, line_on, star, barre = "", "", False, None, False
    ornaments: list[Ornament] = []
    for letter, how in letters(stop.marks):
        if letter in _LEFT:
            left = letter
        elif letter in _RIGHT:
            right = letter
        elif letter == "s":
            line_on = True
        elif letter == HOLD_MARK:
            star = Ornament(HOLD_STAR, "hold the finger down", Place.AFTER, how)
        elif letter == "b":
            barre = True
        elif letter.isupper():
            ornaments.append(ornament(letter, how, heading))
    return StopMarks(left, right, tuple(ornaments), line_on, star, barre)


def ornament(letter: str, how: Editorial, heading: Heading) -> Ornament:
    """The ornament that a capital is declared to be; an undeclared one prints its letter."""
    declared = heading.mark(letter)
    if declared is None:
        return Ornament(letter, "", Place.AFTER, how)
    return Ornament(declared.printed, declared.meaning, _PLACES.get(declared.place, Place.AFTER), how)


class EventMarks(Record, frozen=True):
    """Marks over an event."""

    arpeggio: bool = False
    spread: bool = False
    strum: str = ""
    fermata: bool = False
    barre: bool = False
    and_so_on: bool = False
    ornaments: tuple[Ornament, ...] = ()


NO_EVENT_MARKS = EventMarks()
_STRUMS = {"u": "up", "d": "down"}


def event_marks(event: Event, heading: Heading) -> EventMarks:
    """Arpeggio, strum, fermata and the like at an event."""
    if event.head is None or not event.head.marks:
        return NO_EVENT_MARKS
    found = list(letters(event.head.marks))
    seen = {letter for letter, _ in found}
    strum = next((_STRUMS[letter] for letter, _ in found if letter in _STRUMS), "")
    ornaments = tuple(ornament(letter, how, heading) for letter, how in found if letter.isupper())
    return EventMarks("r" in seen, "s" in seen, strum, "f" in seen, "b" in seen, "e" in seen, ornaments)


_LADDER = (0, 1, 2, 4, 8, 16, 32, 64)


def rhythm_sign(
    value: Value, plain_stem: int, how: Editorial, footnote: str, second: Value | None = None
) -> RhythmSign:
    """A printed rhythm sign: hooks counted from the value that a hookless stem stands for."""

    def hooks(of: Value) -> int:
        return _LADDER.index(of.unit) - _LADDER.index(plain_stem)

    return RhythmSign(value, hooks(value), how, footnote, None if second is None else hooks(second))
