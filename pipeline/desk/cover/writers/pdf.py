"""The cover sheet on paper: one page, whatever it has to say."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from reportlab.pdfgen.canvas import Canvas

from pipeline.desk.cover.record import Cover, Tuned
from pipeline.desk.cover.writers import words
from pipeline.desk.programme.writers import words as sheet
from pipeline.desk.programme.writers.bands import Band, Style, across, paragraph, printed, put, room, space
from pipeline.desk.programme.writers.pdf import change_bands, item, scale_band
from pipeline.model.options import Sheet
from pipeline.writers.pdf import Paper

_TITLE = Style(24, bold=True)
_HEAD = Style(14, bold=True)
_NAME = Style(12, grey=0.35)
_FACT = Style(12.5)
_TEXT = Style(12)
_SMALL = Style(10.5, italic=True, grey=0.25)
#: From the left edge to what a fact is.
_FACTS = 82.0


def cover_pdf(cover: Cover, paper: Sheet = Sheet.A4) -> bytes:
    """The whole sheet as a PDF file of one page. Decisions that it has no room for are counted: they stand in the
    player's part. The same sheet gives the same bytes."""
    size = Paper[paper.name].value
    wide = across(size)
    decided = [item(said, wide) for said in cover.decided]
    left = room(size) - _height(_bands(cover, (), wide))
    if _height(band for bands in decided for band in bands) > left:
        more = [item(_more(number), wide) for number in range(len(decided) + 1)]
        fitting = (
            number
            for number in range(len(decided), -1, -1)
            if _height(band for bands in (*decided[:number], more[len(decided) - number]) for band in bands) <= left
        )
        shown = next(fitting, 0)
        decided = [*decided[:shown], more[len(decided) - shown]]
    return printed(list(_bands(cover, decided, wide)), words.head_of(cover), size)


def _height(bands: Iterable[Band]) -> float:
    return sum(band.height for band in bands)


def _more(count: int) -> str:
    return f"{count} more, in the notes of the player’s part."


def _bands(cover: Cover, decided: Sequence[Sequence[Band]], wide: float) -> Iterator[Band]:
    yield from paragraph(words.head_of(cover), _TITLE, wide)
    yield from paragraph(f"{words.TITLE} · {cover.composer}" if cover.composer else words.TITLE, _SMALL, wide)
    yield space(10)
    for name, what in cover.facts:
        yield from _fact(name, what, wide)
    yield space(6)
    for person in cover.persons:
        yield from item(f"{person.name}: {', '.join(what for _, what in person.files)}", wide)
    yield from _tuning(cover.tuned, wide)
    if cover.decided:
        yield space(10)
        yield from paragraph(words.DECIDED, _HEAD, wide)
        for bands in decided:
            yield from bands
    if words.turns_pegs(cover.tuned):
        yield space(10)
        yield from paragraph(words.CAUTIONS, _HEAD, wide)
        for said in sheet.CAUTIONS:
            yield from item(said, wide)
        for said in sheet.limits(cover.tuned.programme):
            yield from paragraph(said, _SMALL, wide)


def _fact(name: str, what: str, wide: float) -> Iterator[Band]:
    first, *others = paragraph(what, _FACT, wide, indent=_FACTS)

    def draw(canvas: Canvas, left: float, top: float, across: float) -> None:
        put(canvas, left, top - _FACT.size, name, _NAME)
        first.draw(canvas, left, top, across)

    yield Band(first.height, draw)
    yield from others


def _tuning(tuned: Tuned, wide: float) -> Iterator[Band]:
    piece = tuned.piece
    yield space(10)
    yield from paragraph(words.TUNING, _HEAD, wide)
    if piece.stopped:
        yield from paragraph(sheet.stopped(piece), _TEXT, wide)
    if piece.diapasons:
        yield scale_band(piece.diapasons, tuned.moves)
    yield from change_bands(words.moving(tuned), tuned.moves, piece, wide, "")
    for inside in piece.inside:
        yield space(4)
        yield from change_bands(sheet.where(inside), inside.moves, piece, wide, "")
    for said in words.known(tuned):
        yield from paragraph(said, _SMALL, wide)
