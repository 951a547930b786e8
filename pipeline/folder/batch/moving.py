"""The work of moving one piece to another key or instrument: pure, and the same in any process."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from pipeline.desk.move.record import NOWHERE, There
from pipeline.desk.move.wish import Kept, Wish, asked_of, interval_for, suits_no_voice
from pipeline.folder.batch.jobs import Made, Parcel
from pipeline.folder.batch.work import safely, texts_of
from pipeline.model.diagnostics import Diagnostic, Severity
from pipeline.model.interval import Refused
from pipeline.model.presets import find_preset
from pipeline.model.text import SourceText

if TYPE_CHECKING:
    from pipeline.desk.move.record import Moved


@dataclass(frozen=True, slots=True)
class Errand(Parcel):
    """A piece to be moved: ``there`` is what holds where its moved text is to lie, ``target`` is how that is shown."""

    there: There = field(default=NOWHERE)
    target: str = ""


@dataclass(frozen=True, slots=True)
class MadeText(Made):
    """A moved text, empty if there is none; the other fields as of what becomes of it in its folder."""

    text: str = ""
    tunings: tuple[str, ...] = ()
    errors: int = 0
    unfit: bool = False
    refused: str = ""


def refinger_parcel(parcel: Parcel, wish: Wish, keep: Kept | None) -> Made:
    """The piece moved as wished."""
    return safely(parcel, lambda: _refinger(parcel, wish, keep))


def _refinger(parcel: Parcel, wish: Wish, keep: Kept | None) -> Made:
    # Imported late: refusing files must not wait for the reading.
    from pipeline.desk.move.moving import move  # noqa: PLC0415
    from pipeline.edition.leading import led  # noqa: PLC0415
    from pipeline.source.read import read_piece  # noqa: PLC0415

    assert isinstance(parcel, Errand)
    headings, text, found = texts_of(parcel)
    if not all(read.usable for read in (text, *headings)):
        return MadeText(found, errors=1)
    files = {file.name: file for file in parcel.files}
    read = read_piece(text.source, tuple(each.source for each in headings), files)
    grave = tuple(one for one in read.settled(*found) if one.severity is Severity.ERROR)
    if grave:
        return MadeText(grave, errors=len(grave))
    interval = interval_for(read, wish)
    if isinstance(interval, Refused):
        return MadeText((suits_no_voice(parcel.name, interval),), unfit=True)
    asked = asked_of(read, wish, interval, keep)
    if isinstance(asked, str):
        return MadeText((), refused=asked)
    reading = led(read.sounding, read.song)
    moved = move(reading.value, asked, parcel.name, parcel.there)
    known = {one.code.slug for one in read.settled(*found, *reading.diagnostics)}
    own = _own(moved, parcel, known)
    return MadeText((*moved.diagnostics, *own), text=moved.text, tunings=_tuned(moved))


def _own(moved: Moved, errand: Errand, known: set[str]) -> tuple[Diagnostic, ...]:
    """What is found in the moved text that is of no kind found in its source."""
    from pipeline.edition.leading import check_piece  # noqa: PLC0415  as above

    there = errand.there
    found = check_piece(SourceText.of(errand.target, moved.text), there.headings, there.files)
    return tuple(one for one in found if one.code.slug not in known)


def _tuned(moved: Moved) -> tuple[str, ...]:
    """The diapasons that are tuned otherwise than in the source or, on another instrument, than is usual for it."""
    before, after = moved.tunings.before[0], moved.tunings.after[0]
    preset = find_preset(after.name)
    usual = preset.instrument if preset is not None and before.name != after.name else before
    return tuple(
        f"{course.number} = {'+'.join(string.name for string in course.strings)}"
        for course in after.courses[after.stopped :]
        if usual.course(course.number) != course
    )
