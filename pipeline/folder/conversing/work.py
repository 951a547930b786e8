"""The work that another process does for a conversation: what takes longer than a key press."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from pipeline.desk.converse.insight import insight
from pipeline.desk.converse.record import Insight
from pipeline.desk.misprints.proposal import Proposal
from pipeline.desk.misprints.proposals import proposals_of
from pipeline.edition.leading import read_through
from pipeline.folder.batch.jobs import Parcel
from pipeline.folder.batch.work import collector_at_rest, texts_of
from pipeline.folder.files import NoSuchPieceError, read_texts, survey
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.sounding import SoundingPiece
from pipeline.model.text import SourceText
from pipeline.source.read import sounding_piece

_NOTHING = Insight()
#: Pieces of a folder whose signs are kept in mind.
_KEPT = 256


@dataclass(frozen=True, slots=True)
class Whole:
    """What came of a whole reading: every finding, as ``longneck check`` has them, and what is read into the signs."""

    diagnostics: tuple[Diagnostic, ...]
    insight: Insight = _NOTHING


def read_parcel(parcel: Parcel) -> Whole:
    """Read a piece through. A text that makes no sense as text has its findings alone."""
    headings, text, found = texts_of(parcel)
    if not all(read.usable for read in (text, *headings)):
        return Whole(found)
    heads = tuple(read.source for read in headings)
    files = {file.name: file for file in parcel.files}
    images = {image.name: image for image in parcel.images}
    with collector_at_rest():
        through = read_through(text.source, heads, files, images)
        return Whole(through.settled(*found), insight(through.led.value))


def propose_parcel(parcel: Parcel, path: Path | None) -> tuple[Proposal, ...]:
    """The probable misprints of a piece, as ``longneck propose`` lists them; the other pieces of its folder, as they
    were saved, count as evidence."""
    headings, text, _ = texts_of(parcel)
    if not all(read.usable for read in (text, *headings)):
        return ()
    with collector_at_rest():
        piece = _signs(text.source, tuple(read.source for read in headings))
        siblings = _siblings(path) if path is not None else ()
        return proposals_of(text.source, piece, siblings)


def _siblings(path: Path) -> tuple[SoundingPiece, ...]:
    own = path.resolve()
    try:
        found = survey([own.parent])
    except NoSuchPieceError:
        return ()
    here = [file for file in found.pieces if file.path.resolve().parent == own.parent and file.path.resolve() != own]
    texts = [read_texts(file) for file in here]
    return tuple(_signs(read.text.source, read.inherited) for read in texts if read.usable)


@lru_cache(maxsize=_KEPT)
def _signs(source: SourceText, inherited: tuple[SourceText, ...]) -> SoundingPiece:
    return sounding_piece(source, inherited).value
