"""What a build is measured against: the engraver's own time for the documents that the first release (c505810) wrote.

They are kept as they were, packed, with the options that the engraver was given for them, so that a lighter document
or a cheaper option of today counts as a gain. ``events-N-…`` are the piece of ``build_speed`` with N events as it was
handed to the engraver, ``piece-NNNN-…`` the first piece of each kind of ``collection`` as its MEI file was written, all
of 60 bars; ``edition`` or ``copy`` (the singer's).
"""

from __future__ import annotations

import gzip
import json
import time
from collections.abc import Iterable
from pathlib import Path

import verovio

from pipeline.writers.engrave.drawing import FONT

HERE = Path(__file__).parent
KINDS = ("edition", "copy")


def of_events(events: int, *, copy: bool) -> list[Path]:
    """The documents of the piece of 50, 500 or 5,000 events."""
    return [HERE / f"events-{events}-{kind}.mei.gz" for kind in KINDS[: 1 + copy]]


def of_pieces() -> list[list[Path]]:
    """The documents of one piece of each kind of the collection, in the order of the kinds."""
    editions = sorted(HERE.glob("piece-*-edition.mei.gz"))
    return [[path, path.with_name(path.name.replace("edition", "copy"))] for path in editions]


Document = tuple[str, bool]  # MEI, and whether it is a copy


def unpacked(documents: Iterable[Path]) -> list[Document]:
    """The documents as the engraver is given them."""
    return [(gzip.decompress(path.read_bytes()).decode(), "-copy" in path.name) for path in documents]


def draw_all(documents: Iterable[Document]) -> None:
    """Loads, lays out and draws them all."""
    for mei, copy in documents:
        draw(mei, copy=copy)


def seconds(documents: Iterable[Path], repeats: int = 1) -> float:
    """Seconds of processor for that: the least of several runs."""
    read = unpacked(documents)
    took = []
    for _ in range(repeats):
        start = time.process_time()
        draw_all(read)
        took.append(time.process_time() - start)
    return min(took)


def draw(mei: str, *, copy: bool) -> list[str]:
    """The systems of a document as the first release had them drawn."""
    options = json.loads((HERE / "options.json").read_text(encoding="utf-8"))
    toolkit = verovio.toolkit()
    own = {"breaks": "smart" if "<sb" in mei else "auto", "fontAddCustom": [str(FONT)]}
    toolkit.setOptions({**options["edition"], **(options["copy"] if copy else {}), **own})
    assert toolkit.loadData(mei)
    return [toolkit.renderToSVG(page) for page in range(1, toolkit.getPageCount() + 1)]
