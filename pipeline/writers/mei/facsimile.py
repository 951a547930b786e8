"""The pages of the source: a surface for each folio of which a picture is known, zones on it for the systems, and
links from the bars to them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pipeline.model.facsimile import Folio, FolioImage
from pipeline.model.parts import whole_id
from pipeline.model.score import Score
from pipeline.model.xmltext import legal
from pipeline.writers.mei.names import MEASURE, XML_ID, Element, name, sub

_PB = name("pb")
_MEDIA = {"png": "image/png", "jpg": "image/jpeg", "webp": "image/webp"}


def write_facsimile(root: Element, folios: Sequence[Folio], score: Score) -> None:
    """``facsimile`` before the music; ``facs`` on each measure, with the zones of the systems in which it stands, or
    where none are known the surface: two, where one ends within it; ``pb`` before the measure that begins a page. A
    IIIF canvas is a ``graphic`` of its own: an address, never fetched."""
    if not folios:
        return
    music = next(root.iter(name("music")))
    facsimile = music.makeelement(name("facsimile"))
    music.insert(0, facsimile)
    on: dict[str, list[_Standing]] = {}
    for number, folio in enumerate(folios, start=1):
        own = f"surface-{number:03d}"
        zones = _write_surface(facsimile, own, folio)
        for index in folio.bars:
            if index < len(score.measures):
                bar = whole_id(score.measures[index].id)
                on.setdefault(bar, []).append(_Standing(own, folio, zones.get(index, (own,))))
    _link(root, on)


@dataclass(frozen=True, slots=True)
class _Standing:
    """Where a bar stands: the surface, its folio, and the zones on it, or again the surface."""

    surface: str
    folio: Folio
    zones: tuple[str, ...]


def _write_surface(facsimile: Element, own: str, folio: Folio) -> Mapping[int, tuple[str, ...]]:
    """The zones in which bars stand, by the index of the bar."""
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
    return _write_zones(surface, own, folio.image) if folio.image is not None else {}


def _write_zones(surface: Element, own: str, image: FolioImage) -> Mapping[int, tuple[str, ...]]:
    """A zone for each system, in pixels of the image; none where its size is not known."""
    found: dict[int, tuple[str, ...]] = {}
    if not (image.width and image.height):
        return found
    for number, system in enumerate(image.systems, start=1):
        zone, called = system.zone, f"{own}-system-{number:02d}"
        corners = {
            "ulx": image.width * zone.left,
            "uly": image.height * zone.top,
            "lrx": image.width * zone.right,
            "lry": image.height * zone.bottom,
        }
        places = {corner: str(round(length / 100)) for corner, length in corners.items()}
        sub(surface, name("zone"), {XML_ID: called, "type": "system", "n": str(number)} | places)
        for index in system.bars:
            found[index] = (*found.get(index, ()), called)
    return found


def _link(root: Element, on: Mapping[str, Sequence[_Standing]]) -> None:
    before = ""
    for measure in list(root.iter(MEASURE)):
        standing = on.get(whole_id(measure.get(XML_ID, "")))
        if not standing:
            continue
        measure.set("facs", " ".join(f"#{zone}" for one in standing for zone in one.zones))
        first = standing[0]
        if first.surface != before:
            begun = {"n": legal(first.folio.folio), "facs": f"#{first.surface}"}
            measure.addprevious(measure.makeelement(_PB, begun))
        before = standing[-1].surface
