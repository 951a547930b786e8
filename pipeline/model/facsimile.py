"""Images of the source beside the piece: what is known of their files, and which bars each one shows."""

from __future__ import annotations

from dataclasses import dataclass

from pipeline.model.heading import Zone


@dataclass(frozen=True, slots=True)
class ImageFile:
    """An image as found beside the piece; its content is never looked into.

    ``kind`` is the ending that its first bytes ask for (``png``, ``jpg``, ``webp``); ``width`` and ``height`` in
    pixels, 0 where the first bytes do not tell. ``missing`` and ``refused`` say why it cannot be used; both are empty
    otherwise.
    """

    name: str
    kind: str = ""
    size: int = 0
    width: int = 0
    height: int = 0
    missing: str = ""
    refused: str = ""

    @property
    def usable(self) -> bool:
        return not (self.missing or self.refused)


@dataclass(frozen=True, slots=True)
class FolioSystem:
    """A system on the image of a folio: where it lies, and the indices of the bars that stand in it, wholly or in
    part; empty where the text has no such system."""

    zone: Zone
    bars: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class FolioImage:
    """The image of one folio. ``file`` is its name beside the pages, ``original`` its path as typed; ``bars`` are the
    indices of the bars that begin on the folio, empty where the breaks of the piece do not name it; ``systems`` are
    those that the heading declares, from the top; ``typed`` is how many the text has there."""

    folio: str
    file: str
    original: str
    width: int
    height: int
    bars: tuple[int, ...]
    systems: tuple[FolioSystem, ...] = ()
    typed: int = 0


@dataclass(frozen=True, slots=True)
class Folio:
    """A folio of which a picture is known: the ``image`` beside the pages, the address of a IIIF ``canvas``, or both.
    ``bars`` are the indices of the bars that stand on it, wholly or in part."""

    folio: str
    bars: tuple[int, ...]
    image: FolioImage | None = None
    canvas: str = ""
