"""The retuning sheet on paper: what to turn stands largest, to be read from a chair."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reportlab.pdfgen.canvas import Canvas

from pipeline.desk.programme.sheet import Changeover, Move, Programme, ProgrammePiece, TunedCourse
from pipeline.desk.programme.writers import words
from pipeline.desk.programme.writers.bands import (
    Band,
    Draw,
    Style,
    across,
    centred,
    measure,
    paragraph,
    printed,
    put,
    space,
)
from pipeline.model.options import Sheet
from pipeline.writers.pdf import Paper

_TITLE = Style(24, bold=True)
_PIECE = Style(19, bold=True)
_TEXT = Style(12)
_SMALL = Style(10.5, italic=True, grey=0.25)
_HEAD = Style(15, bold=True)
_COURSE = Style(25, bold=True)
_PITCHES = Style(24, bold=True)
_WAY = Style(18)
_HERTZ = Style(12, grey=0.25)
_NUMBER = Style(11, grey=0.25)
_PITCH = Style(17)
#: From the left edge of a change to its bar, its course numbers (right edge), its pitches.
_BAR, _NUMBERS, _NAMES = 5.0, 46.0, 58.0
#: Width of the names of a scale's rows.
_ROWS = 38.0


def programme_pdf(programme: Programme, sheet: Sheet = Sheet.A4) -> bytes:
    """The whole sheet as a PDF file. The same programme gives the same bytes."""
    size = Paper[sheet.name].value
    wide = across(size)
    bands = [
        Band(34, lambda canvas, left, top, across: put(canvas, left, top - 24, words.TITLE, _TITLE), joined=True),
        *paragraph(words.counts(programme), _TEXT, wide),
        *paragraph(words.apart(programme), _TEXT, wide),
    ]
    for place, (piece, change) in enumerate(zip(programme.pieces, programme.changes, strict=True), start=1):
        bands.extend(_piece(programme, place, piece, change, wide))
    bands.append(space(22, joined=True))
    for said in words.CAUTIONS:
        bands.extend(item(said, wide))
    bands.append(space(6))
    for said in words.limits(programme):
        bands.extend(paragraph(said, _SMALL, wide))
    return printed(bands, words.TITLE, size)


def item(said: str, wide: float) -> list[Band]:
    """A sentence of a list."""
    bands = paragraph(said, _TEXT, wide, indent=14)
    first = bands[0]

    def draw(canvas: Canvas, left: float, top: float, across: float) -> None:
        put(canvas, left, top - _TEXT.size, "–", _TEXT)
        first.draw(canvas, left, top, across)

    return [Band(first.height, draw, first.joined), *bands[1:]]


def _piece(programme: Programme, place: int, piece: ProgrammePiece, change: Changeover, wide: float) -> Iterator[Band]:
    """The change before a piece and the piece itself, on one page if they fit."""
    yield Band(20, lambda canvas, left, top, across: canvas.line(left, top - 12, left + across, top - 12), joined=True)
    if change.since is not None:
        head, standard = words.before(place, change), words.standard_change(change)
        yield from change_bands(head, words.renamed(change), piece, wide, standard)
        yield space(6, joined=True)
    yield from paragraph(f"{place}. {words.name_of(piece)}", _PIECE, wide, joined=True)
    yield from paragraph(words.instrument_of(piece, programme), _TEXT, wide, joined=True)
    if change.since is None and piece.stopped:
        yield from paragraph(words.stopped(piece), _TEXT, wide, joined=True)
    if piece.diapasons:
        yield scale_band(piece.diapasons, change.moves)
    for said in (words.how_known(piece), words.standard_said(piece)):
        yield from paragraph(said, _SMALL, wide, joined=bool(piece.inside))
    for inside in piece.inside:
        yield space(4, joined=True)
        yield from change_bands(words.where(inside), inside.moves, piece, wide, "")
    yield from paragraph(words.going_back(piece), _TEXT, wide)
    yield space(4)


def change_bands(head: str, moves: Sequence[Move], piece: ProgrammePiece, wide: float, standard: str) -> Iterator[Band]:
    """The strings to move under a head; ``standard`` says what a change of pitch standard means."""
    if not moves and not standard:
        yield from paragraph(f"{head}: {words.NOTHING.lower()}", _HEAD, wide, joined=True)
        return
    inner = wide - _NAMES
    yield from map(_barred, paragraph(head, _HEAD, wide, indent=_BAR + 9, joined=True))
    yield from map(_barred, paragraph(standard, _TEXT, wide, indent=_BAR + 9, joined=True))
    lines = list(words.lines(moves, piece))
    column = max((measure(_turn(line), _PITCHES) for line in lines), default=0.0)
    for line in lines:
        yield _barred(Band(32, _mover(line, min(column, inner * 0.45)), joined=True))
        if line.note:
            yield from map(_barred, paragraph(line.note, _SMALL, wide, indent=_NAMES, joined=True))


def _turn(line: words.Line) -> str:
    return f"{words.in_print(line.before)} → {words.in_print(line.after)}"


def _mover(line: words.Line, column: float) -> Draw:
    def draw(canvas: Canvas, left: float, top: float, across: float) -> None:
        base = top - 25
        number = str(line.course)
        put(canvas, left + _NUMBERS - measure(number, _COURSE), base, number, _COURSE)
        centred(canvas, left + _NAMES + column / 2, base, _turn(line), _PITCHES, column)
        put(canvas, left + _NAMES + column + 18, base, line.way, _WAY)
        put(canvas, left + across - measure(line.hertz, _HERTZ), base, line.hertz, _HERTZ)

    return draw


def _barred(band: Band) -> Band:
    """A band with a thick bar at its left: here is something to do."""

    def draw(canvas: Canvas, left: float, top: float, across: float) -> None:
        canvas.rect(left, top - band.height, _BAR, band.height, stroke=0, fill=1)
        band.draw(canvas, left, top, across)

    return Band(band.height, draw, band.joined)


def scale_band(courses: Sequence[TunedCourse], moves: Sequence[Move]) -> Band:
    """The diapasons side by side; those that moved in a frame."""
    moved = {move.course for move in moves if move.semitones}

    def draw(canvas: Canvas, left: float, top: float, across: float) -> None:
        for base, name in ((15, "course"), (34, "pitch"), (48, "Hz")):
            put(canvas, left, top - base, name, _NUMBER)
        cell = min((across - _ROWS) / len(courses), 72.0)
        for place, course in enumerate(courses):
            middle, most = left + _ROWS + (place + 0.5) * cell, cell - 8
            style = Style(_PITCH.size, bold=course.number in moved)
            centred(canvas, middle, top - 15, str(course.number), _NUMBER, most)
            centred(canvas, middle, top - 34, words.in_print(words.pitches(course)), style, most)
            centred(canvas, middle, top - 48, words.hertz(course), _NUMBER, most)
            if course.number in moved:
                canvas.rect(left + _ROWS + place * cell + 1.5, top - 53, cell - 3, 50, stroke=1, fill=0)

    return Band(60, draw, joined=True)
