"""The pages of the source: a surface for each folio of which a picture is known, and links from the bars to it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pipeline.model.facsimile import Folio
from pipeline.model.parts import whole_id
from pipeline.model.score import Score
from pipeline.model.xmltext import legal
from pipeline.writers.mei.names import MEASURE, XML_ID, Element, name, sub

_PB = name("pb")
_MEDIA = {"png": "image/png", "jpg": "image/jpeg", "webp": "image/webp"}


def write_facsimile(root: Element, folios: Sequence[Folio], score: Score) -> None:
    """``facsimile`` before the music; ``facs`` on each measure, with two surfaces where a page ends within it; ``pb``
    before the measure that begins a page. A IIIF canvas is a ``graphic`` of its own: an address, never fetched."""
    if not folios:
        return
    music = next(root.iter(name("music")))
    facsimile = music.makeelement(name("facsimile"))
    music.insert(0, facsimile)
    on: dict[str, list[tuple[str, Folio]]] = {}
    for number, folio in enumerate(folios, start=1):
        own = f"surface-{number:03d}"
        _write_surface(facsimile, own, folio)
        for index in folio.bars:
            if index < len(score.measures):
                on.setdefault(whole_id(score.measures[index].id), []).append((own, folio))
    _link(root, on)


def _write_surface(facsimile: Element, own: str, folio: Folio) -> None:
    surface = sub(facsimile, name("surface"), {XML_ID: own, "label": legal(f"f. {folio.folio}")})
    if folio.image is not None:
        image = folio.image
        graphic = {"target": image.file, "mimetype": _MEDIA[image.file.rpartition(".")[2]]}
        if image.width and image.height:
            graphic |= {"width": f"{image.width}px", "height": f"{image.height}px"}
            surface.attrib.update({"ulx": "0", "uly": "0", "lrx": str(image.width), "lry": str(image.height)})
        sub(surface, name("graphic"), graphic)
    if folio.canvas:
        sub(surface, name("graphic"), {"type": "iiif-canvas", "target": folio.canvas})


def _link(root: Element, on: Mapping[str, Sequence[tuple[str, Folio]]]) -> None:
    before = ""
    for measure in list(root.iter(MEASURE)):
        surfaces = on.get(whole_id(measure.get(XML_ID, "")))
        if not surfaces:
            continue
        measure.set("facs", " ".join(f"#{own}" for own, _ in surfaces))
        first, folio = surfaces[0]
        if first != before:
            measure.addprevious(measure.makeelement(_PB, {"n": legal(folio.folio), "facs": f"#{first}"}))
        before = surfaces[-1][0]
