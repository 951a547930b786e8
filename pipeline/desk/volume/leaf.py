"""One piece made into a leaf of the volume: its pages for either side, its incipit, what the tables say of it."""

from __future__ import annotations

from pipeline.desk.programme.plan import programme
from pipeline.desk.volume.record import Leaf
from pipeline.edition.apparatus import apparatus
from pipeline.edition.casting import cast_off
from pipeline.edition.leading import led
from pipeline.edition.notate import notate
from pipeline.edition.part import bare, first_words
from pipeline.edition.spell import spell
from pipeline.model.options import Sheet
from pipeline.model.record import replace
from pipeline.model.song import Song
from pipeline.model.staves import Staves
from pipeline.model.text import SourceText
from pipeline.source.read import NO_FILES, Files, read_piece
from pipeline.writers.engrave import A4, LETTER, engrave_beginning, typeset_facing
from pipeline.writers.mei import write_mei

_PAPERS = {Sheet.A4: A4, Sheet.LETTER: LETTER}
#: Bars of an incipit, and how many words a first line has at most.
_BARS, _WORDS = 3, 10
#: The fewest words of a line, and what may stand at its end.
_FEWEST, _MARKS = 3, ",;:."


def leaf_of(
    source: SourceText,
    inherited: tuple[SourceText, ...],
    place: str,
    sheet: Sheet = Sheet.A4,
    staves: Staves = Staves.ALL,
    files: Files = NO_FILES,
) -> Leaf:
    """The leaf of a piece. ``place`` is what the volume calls it; the rest as for :func:`pipeline.piece.build_piece`,
    which says what is wrong with the piece."""
    read = read_piece(source, inherited, files)
    voiced = spell(led(read.sounding, read.song).value)
    score = replace(notate(voiced, read.song, staves), turned=True)
    pages = typeset_facing(score, _PAPERS[sheet])
    heading = read.sounding.heading
    title = heading.title or place.rpartition("/")[2]
    opening = notate(voiced, read.song, Staves.TABLATURE)
    measures = tuple(replace(bare(measure), words=(), folios=()) for measure in opening.measures[:_BARS])
    short = replace(opening, measures=measures, footnotes=(), legend=(), verses=())
    return Leaf(
        place,
        title,
        heading,
        programme([(place, read.sounding)]).pieces[0],
        apparatus(voiced),
        pages.right.pages,
        pages.left.pages,
        pages.strip,
        engrave_beginning(write_mei(cast_off(short)), short),
        _first_line(read.song),
    )


def _first_line(song: Song) -> str:
    """The first words of the highest voice that has any."""
    for line in song.lines:
        sung = [note for note in line.notes if note.pitch is not None]
        if not line.bass and sung:
            return one_line(first_words(line.notes[line.notes.index(sung[0]) :], _WORDS))
    return ""


def one_line(words: str) -> str:
    """The first line of a text, as an index has it: up to where a capital begins the next line after a mark of
    punctuation, without the mark at its end. Few words and a capital may be a name that is called."""
    found = words.split()
    for place in range(_FEWEST, len(found)):
        if found[place][0].isupper() and found[place - 1][-1] in _MARKS:
            found = found[:place]
            break
    return " ".join(found).rstrip(_MARKS)
