"""Where systems lie on the images that pieces name: what is seen on each, beside what the text has there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pipeline.desk.systems import bands_of, equal_line, seen_line
from pipeline.folder.files import PieceFile, read_image, read_image_data, read_texts
from pipeline.folder.pictures import grey_of
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.facsimile import FolioImage
from pipeline.source.facsimile import folio_images, images_named
from pipeline.source.read import sounding_piece


@dataclass(frozen=True, slots=True)
class FolioProposal:
    """A line for the heading; empty where nothing can be proposed. ``image`` is the file as typed, ``typed`` how many
    systems the text has on the folio, ``seen`` how many its image shows. ``why`` says why the image could not be looked
    at; ``declared`` that the heading has such a line."""

    folio: str
    image: str
    line: str
    typed: int
    seen: int
    declared: bool
    why: str = ""


@dataclass(frozen=True, slots=True)
class PieceSystems:
    """The proposals for a piece, and what is wrong with its texts or images."""

    name: str
    folios: tuple[FolioProposal, ...]
    diagnostics: tuple[Diagnostic, ...] = ()


def systems_all(pieces: Sequence[PieceFile]) -> Iterator[PieceSystems]:
    """Each piece, in order. Never raises for what is wrong with a file."""
    for piece in pieces:
        yield _of(piece)


def _of(piece: PieceFile) -> PieceSystems:
    texts = read_texts(piece)
    if not texts.usable:
        return PieceSystems(piece.name, (), texts.diagnostics)
    names = images_named(texts.text.source, texts.inherited)
    if not names:
        return PieceSystems(piece.name, ())
    sounding = sounding_piece(texts.text.source, texts.inherited).value
    found = folio_images(sounding, {name: read_image(piece, name) for name in names})
    proposals = tuple(_proposed(piece, image) for image in found.value)
    return PieceSystems(piece.name, proposals, found.diagnostics)


def _proposed(piece: PieceFile, image: FolioImage) -> FolioProposal:
    data = read_image_data(piece, image.original)
    grey = data if isinstance(data, str) else grey_of(data)
    why, seen, line = "", 0, ""
    if isinstance(grey, str):
        why = grey
    else:
        bands = bands_of(grey)
        seen = len(bands.systems)
        line = seen_line(image.folio, bands) if seen else ""
    if not line and image.typed:
        line = equal_line(image.folio, image.typed)
    return FolioProposal(image.folio, image.original, line, image.typed, seen, bool(image.systems), why)
