"""The work on one parcel: pure, and the same wherever it is done. It never raises, but for want of memory."""

from __future__ import annotations

import gc
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from pipeline.findings.codes.files import INTERNAL_FAULT
from pipeline.folder.batch.jobs import Made, Parcel
from pipeline.folder.files import ReadFile, decoded
from pipeline.model.artefacts import FINDINGS
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.options import Options
from pipeline.model.text import Span

Work = Callable[[Parcel], Made]


def check_parcel(parcel: Parcel) -> Made:
    """Every finding on the piece, and no artefacts."""
    return safely(parcel, lambda: _check(parcel))


def build_parcel(parcel: Parcel, options: Options) -> Made:
    """Every artefact that the options ask for; of a piece whose text makes no sense as text, its findings alone; of one
    that cannot be had at all, nothing: what was built of it stays."""
    return safely(parcel, lambda: _build(parcel, options))


def leaf_parcel(parcel: Parcel, options: Options) -> Made:
    """The leaf of the piece in a volume; none of one that cannot be read. Findings are those of the build."""
    return safely(parcel, lambda: _leaf(parcel, options))


def preload() -> None:
    """Load all that a build needs, so that the first piece is not charged with it."""
    import pipeline.piece  # noqa: F401, PLC0415


def safely(parcel: Parcel, work: Callable[[], Made]) -> Made:
    """The promise of a batch: no piece stops the others."""
    try:
        with collector_at_rest():
            return work()
    except MemoryError:
        raise
    except Exception:
        return broken_down(parcel.name, traceback.format_exc())


@contextmanager
def collector_at_rest() -> Iterator[None]:
    """The records hold no cycles, so the collector, which would walk through them over and over (a third of the time),
    rests while a piece is read."""
    collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collecting:
            gc.enable()


def _check(parcel: Parcel) -> Made:
    # Imported late: reading and listing files, and refusing them, must not wait for music libraries.
    from pipeline.edition.leading import check_piece  # noqa: PLC0415

    headings, text, found = texts_of(parcel)
    if not all(read.usable for read in (text, *headings)):
        return Made(found)
    heads = tuple(read.source for read in headings)
    files = {file.name: file for file in parcel.files}
    images = {image.name: image for image in parcel.images}
    return Made(check_piece(text.source, heads, files, images, found))


def _build(parcel: Parcel, options: Options) -> Made:
    from pipeline.findings.document import write_findings  # noqa: PLC0415
    from pipeline.piece import build_piece  # noqa: PLC0415

    headings, text, found = texts_of(parcel)
    if any(raw.refused for raw in parcel.texts):
        return Made(found)
    if not all(read.usable for read in (text, *headings)):
        return Made(found, ((FINDINGS, write_findings(parcel.name, found)),))
    files = {file.name: file for file in parcel.files}
    images = {image.name: image for image in parcel.images}
    heads = tuple(read.source for read in headings)
    result = build_piece(text.source, heads, options, files, images, parcel.home, found, parcel.marks)
    copied = tuple((image.file, image.original) for image in result.images)
    return Made(result.diagnostics, result.artefacts, result.notation_warnings, result.title, images=copied)


def _leaf(parcel: Parcel, options: Options) -> Made:
    from pipeline.desk.volume.leaf import leaf_of  # noqa: PLC0415

    headings, text, _ = texts_of(parcel)
    if not all(read.usable for read in (text, *headings)):
        return Made(())
    files = {file.name: file for file in parcel.files}
    heads = tuple(read.source for read in headings)
    return Made((), leaf=leaf_of(text.source, heads, parcel.name, options.paper, options.staves, files))


def texts_of(parcel: Parcel) -> tuple[tuple[ReadFile, ...], ReadFile, tuple[Diagnostic, ...]]:
    """The headings, outermost first, the piece, and what is wrong with their bytes."""
    headings = tuple(decoded(raw) for raw in parcel.headings)
    text = decoded(parcel.text)
    return headings, text, tuple(finding for read in (*headings, text) for finding in read.diagnostics)


def broken_down(name: str, text: str) -> Made:
    """What stands for a piece that the program broke down on; ``text`` is the traceback."""
    last = text.strip().splitlines()[-1].rstrip(".")
    finding = Diagnostic(
        INTERNAL_FAULT,
        Span(name, 1, 1, 1),
        f"longneck failed on this piece: {last}.",
        "This is a fault of the program. The other pieces have been done.",
    )
    return Made((finding,), fault=text)
