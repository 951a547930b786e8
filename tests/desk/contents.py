"""Contents of typed pieces, for the tests of comparing."""

from __future__ import annotations

from pipeline.desk.compare.content import PieceContent
from pipeline.desk.compare.contents import content_of, recall_content
from pipeline.edition.lead import lead
from pipeline.edition.spell import spell
from pipeline.model.text import SourceText
from pipeline.source.read import song_of, sounding_piece
from pipeline.writers.events import write_events
from tests.made import HEADING, text


def content(music: str, heading: str = HEADING) -> PieceContent:
    """The content of these music lines, without readings; faults are allowed."""
    return content_of_text(text(music, heading))


def content_of_text(source: SourceText) -> PieceContent:
    sounding = sounding_piece(source).value
    return content_of(sounding, song_of(sounding).value)


def both_ways(source: SourceText) -> tuple[PieceContent, PieceContent, bytes]:
    """The content with its readings from the records, the same read back from ``events.xml``, and that document."""
    sounding = sounding_piece(source).value
    song, voiced = song_of(sounding).value, spell(lead(sounding))
    document = write_events(voiced, None, song)
    return content_of(sounding, song, voiced), recall_content(document), document
