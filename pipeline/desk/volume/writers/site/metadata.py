"""What programs read on a page: schema.org terms as JSON-LD. Source: schema.org, Book, SheetMusic, MediaObject."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pipeline.desk.volume.record import Leaf, Volume
from pipeline.desk.volume.words import editors_of
from pipeline.desk.volume.writers.site.pages import BOOK, START, address
from pipeline.desk.volume.writers.site.piece import SitePiece
from pipeline.model.heading import Heading, Witness
from pipeline.writers.html import Block, data

_CONTEXT = "https://schema.org"
#: Media types as registered with IANA; MEI has none of its own.
_TYPES = {
    "musicxml": "application/vnd.recordare.musicxml+xml",
    "mei": "application/xml",
    "xml": "application/xml",
    "pdf": "application/pdf",
    "mid": "audio/midi",
    "svg": "image/svg+xml",
    "csv": "text/csv",
    "html": "text/html",
}


def book_data(volume: Volume) -> Block:
    """The volume and its pieces."""
    said: dict[str, Any] = {"@context": _CONTEXT, "@type": "Book", "name": volume.book.title, "inLanguage": "en"}
    if volume.book.subtitle:
        said["alternativeHeadline"] = volume.book.subtitle
    said |= _published(volume.heading, editors_of(volume))
    said["encoding"] = {"@type": "MediaObject", "contentUrl": BOOK, "encodingFormat": "application/pdf"}
    said["hasPart"] = [
        {"@type": "SheetMusic", "name": leaf.title, "url": address(leaf.place)} for leaf in volume.leaves
    ]
    return Block("metadata", "application/ld+json", data(said))


def piece_data(leaf: Leaf, volume: Volume, piece: SitePiece) -> Block:
    """One piece: what it is, what it is part of, in which files it can be had."""
    heading = leaf.heading
    up = "../" * (leaf.place.count("/") + 1)
    said: dict[str, Any] = {"@context": _CONTEXT, "@type": "SheetMusic", "name": leaf.title}
    if heading.composer:
        said["author"] = heading.composer
    said |= _published(heading, heading.editors)
    if heading.witnesses:
        said["isBasedOn"] = [
            {"@type": "CreativeWork", "name": one.described.text, **_described(one)} for one in heading.witnesses
        ]
    if leaf.apparatus.canvases:
        said["associatedMedia"] = [
            {"@type": "MediaObject", "name": f"Folio {canvas.folio}", "url": canvas.address}
            for canvas in leaf.apparatus.canvases
        ]
    said["isPartOf"] = {"@type": "Book", "name": volume.book.title, "url": f"{up}{START}"}
    said["encoding"] = [
        {"@type": "MediaObject", "contentUrl": name, "encodingFormat": _TYPES[ending]}
        for name in piece.files
        if (ending := name.rpartition(".")[2]) in _TYPES
    ]
    return Block("metadata", "application/ld+json", data(said))


def _described(witness: Witness) -> dict[str, str]:
    """Shelfmark and date of a source, where they are declared."""
    terms = {"Shelfmark": "identifier", "Date": "dateCreated"}
    return {terms[name]: text for name, text in witness.described.parts if name in terms}


def _published(heading: Heading, editors: Sequence[tuple[str, str]]) -> dict[str, Any]:
    """Editors, version, day, licence: where they are declared."""
    said: dict[str, Any] = {}
    if editors:
        said["editor"] = [{"@type": "Person", "name": name or initials} for initials, name in editors]
    if heading.issue:
        said["version"], said["datePublished"] = heading.issue.version, heading.issue.date
    if heading.licence:
        said["license"] = heading.licence.address or heading.licence.text
    return said
