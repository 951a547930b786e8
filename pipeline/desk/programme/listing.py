"""The retuning sheet as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich.text import Text

from pipeline.desk.programme.sheet import Move, Programme, ProgrammePiece, TunedCourse
from pipeline.desk.programme.writers import words
from pipeline.findings.printing import printable
from pipeline.findings.text import INDENT

#: Columns that a scale may take.
_WIDEST = 92
_STEP = "   "


def sheet_lines(programme: Programme) -> Iterator[Text]:
    """The whole sheet, line by line: for each piece what is done before it and how the diapasons are then tuned."""
    yield Text(words.TITLE, "bold")
    for said in (words.counts(programme), words.apart(programme)):
        if said:
            yield Text(printable(said))
    for place, (piece, change) in enumerate(zip(programme.pieces, programme.changes, strict=True), start=1):
        yield Text("")
        if change.since is not None:
            yield from _change(words.before(place, change), words.renamed(change), piece, words.standard_change(change))
            yield Text("")
        yield _head(place, piece, programme)
        if change.since is None and piece.stopped:
            yield Text(INDENT + words.stopped(piece))
        moved = {move.course for move in change.moves}
        yield from _scale(piece.diapasons, moved)
        for said in (words.how_known(piece), words.standard_said(piece)):
            if said:
                yield Text(INDENT + printable(said), "dim")
        for inside in piece.inside:
            yield from _change(words.where(inside), inside.moves, piece, "")
        if piece.goes_back:
            yield Text(INDENT + words.going_back(piece))
    yield Text("")
    yield from (Text(f"- {said}") for said in (*words.CAUTIONS, *words.limits(programme)))


def _head(place: int, piece: ProgrammePiece, programme: Programme) -> Text:
    instrument = words.instrument_of(piece, programme)
    return Text.assemble((f"{place}. {printable(words.name_of(piece))}", "bold"), f"  ({printable(instrument)})")


def _change(head: str, moves: Sequence[Move], piece: ProgrammePiece, standard: str) -> Iterator[Text]:
    if not moves and not standard:
        yield Text(f"{INDENT}{printable(head)}: {words.NOTHING.lower()}")
        return
    yield Text(f"{INDENT}{printable(head)}:", "bold")
    if standard:
        yield Text(f"{INDENT}{INDENT}{standard}")
    lines = list(words.lines(moves, piece))
    widths = [max(len(text) for text in column) for column in zip(*map(_cells, lines), strict=True)]
    for line in lines:
        cells = [cell.ljust(width) for cell, width in zip(_cells(line), widths, strict=True)]
        yield Text.assemble(
            INDENT * 2, (f"{line.course:>2}", "bold"), _STEP, (cells[0], "bold"), _STEP, _STEP.join(cells[1:]).rstrip()
        )


def _cells(line: words.Line) -> tuple[str, str, str, str]:
    return f"{line.before} → {line.after}", line.way, line.hertz, f"({line.note})" if line.note else ""


def _scale(courses: Sequence[TunedCourse], moved: set[int]) -> Iterator[Text]:
    """The diapasons side by side, those that moved in bold; in several rows of columns where one is too wide."""
    columns = [(str(course.number), words.pitches(course), words.hertz(course)) for course in courses]
    width = max((len(cell) for column in columns for cell in column), default=0) + 2
    most = max(1, (_WIDEST - len("course")) // width)
    for first in range(0, len(columns), most):
        part = columns[first : first + most]
        numbers = [course.number for course in courses[first : first + most]]
        for row, name in enumerate(("course", "pitch", "Hz")):
            line = Text(INDENT + name.ljust(len("course")))
            for number, column in zip(numbers, part, strict=True):
                line.append(column[row].rjust(width), "bold" if number in moved else "")
            yield line
