"""The page of a piece: where it comes from, how it is cited, its score, its copies and files."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pipeline.desk.proof.writers.links import link, links
from pipeline.desk.volume import words
from pipeline.desk.volume.record import Leaf, Volume
from pipeline.desk.volume.writers.site.pages import address, site_page
from pipeline.model.artefacts import COPY, EDITION, PART, PROOF
from pipeline.writers.html import Block as Data
from pipeline.writers.html import Child, Element, element

INCIPIT = "incipit.svg"


@dataclass(frozen=True, slots=True)
class SitePiece:
    """What was built of a piece: the names of its files, in the order of their names."""

    files: tuple[str, ...]

    @property
    def pages(self) -> tuple[str, ...]:
        """The pages of the edition."""
        return tuple(name for name in self.files if name.startswith(f"{EDITION}-") and name.endswith(".svg"))


def piece_page(
    leaf: Leaf, volume: Volume, piece: SitePiece, beside: tuple[Leaf | None, Leaf | None], cited: str, data: Data
) -> bytes:
    """The page; ``beside`` are the pieces before and after it, ``cited`` is how it is cited."""
    up = "../" * (leaf.place.count("/") + 1)
    composer = leaf.heading.composer
    content: list[Child] = [
        element("p", {"class": "faint"}, composer) if composer else None,
        element("dl", None, *_facts(leaf)),
        element("h2", None, "Score"),
        element("ul", {"class": "pages"}, *_pages(leaf, piece)),
        *_files(piece),
        element("h2", None, "How to cite this piece"),
        element("p", {"class": "citation"}, cited),
        _neighbours(beside, up),
    ]
    return site_page(leaf.title, up, volume, content, data=(data,))


def _facts(leaf: Leaf) -> Iterator[Element]:
    """Sources, folios, instrument, edition, licence."""
    heading = leaf.heading
    rows: list[tuple[str, Child]] = [("Source", words.source_said(witness)) for witness in heading.witnesses]
    rows += [
        (f"Folio {canvas.folio}", element("a", {"href": canvas.address}, "in the library (IIIF canvas)"))
        for canvas in leaf.apparatus.canvases
    ]
    name = heading.instrument.name
    rows.append(("Instrument", name[:1].upper() + name[1:]))
    if heading.issue:
        rows.append(("Edition", f"{heading.issue.version}, {words.day_said(heading.issue.date)}"))
    if heading.licence:
        licence = heading.licence
        rows.append(
            ("Licence", element("a", {"href": licence.address}, licence.text) if licence.address else licence.text)
        )
    for term, said in rows:
        yield element("dt", None, term)
        yield element("dd", None, said)


def _pages(leaf: Leaf, piece: SitePiece) -> Iterator[Element]:
    count = len(piece.pages)
    for number, name in enumerate(piece.pages, start=1):
        image = element("img", {"src": name, "alt": f"{leaf.title}, page {number} of {count}"})
        yield element("li", None, element("a", {"href": name}, image))


def _files(piece: SitePiece) -> Iterator[Element]:
    """Copies for singers and players, then everything else; the proof page where there is one."""
    copies = [name for name in piece.files if name.startswith((f"{COPY}-", f"{COPY}.", f"{PART}-", f"{PART}."))]
    others = [name for name in piece.files if name not in copies and name not in piece.pages]
    for title, names in (("Copies", copies), ("Files", others)):
        rows = [element("li", None, one) for one in links(names)]
        if title == "Files" and PROOF in names:
            rows.append(element("li", None, link("", PROOF, "Proof page")))
        if rows:
            yield element("h2", None, title)
            yield element("ul", None, *rows)


def _neighbours(beside: tuple[Leaf | None, Leaf | None], up: str) -> Element | None:
    ways = [
        element("li", None, f"{said}: ", element("a", {"href": address(leaf.place, up), "rel": rel}, leaf.title))
        for said, rel, leaf in zip(("Before", "After"), ("prev", "next"), beside, strict=True)
        if leaf is not None
    ]
    return element("nav", {"aria-label": "Neighbours"}, element("ul", None, *ways)) if ways else None
