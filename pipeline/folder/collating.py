"""Pieces collated: the readings of other sources written into a text; and a source taken out of such a text."""

from __future__ import annotations

import traceback
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

from pipeline.desk.collate.record import Collated, Level
from pipeline.findings.codes.collating import CANNOT_COLLATE
from pipeline.folder.batch.work import broken_down
from pipeline.folder.batch.writing import cannot_write
from pipeline.folder.files import PieceFile, may_exist, read_file, read_texts, read_voice_file, write_source
from pipeline.model.diagnostics import Code, Diagnostic, Severity
from pipeline.model.record import replace
from pipeline.model.text import SourceText, Span

if TYPE_CHECKING:
    from pipeline.model.heading import Witness
    from pipeline.source.read import Read


@dataclass(frozen=True, slots=True)
class OneCollated:
    """What became of one other source: what the text calls it, and what was written of it."""

    name: str
    witness: Witness | None
    collated: Collated | None


@dataclass(frozen=True, slots=True)
class Done:
    """What became of a text. ``path`` is where it lies, None if nothing was written; ``same`` says that it holds all
    that was to be written already; ``occupied`` is where another text lies; ``own`` a siglum asked for that is that of
    the text's own source."""

    name: str
    others: tuple[OneCollated, ...] = ()
    path: Path | None = None
    same: bool = False
    diagnostics: tuple[Diagnostic, ...] = ()
    sources: tuple[SourceText, ...] = ()
    occupied: Path | None = None
    own: str = ""
    fault: str = ""


def collate(
    one: PieceFile, others: Sequence[PieceFile], sigla: Sequence[str], level: Level, out: Path | None, *, write: bool
) -> Done:
    """The readings of every other source in the text of the first, written into its file, or to ``out``. Nothing is
    written unless all of them can be. Never raises: a fault of the program becomes a finding."""
    try:
        return _collate(one, others, sigla, level, out, write=write)
    except Exception:
        made = broken_down(one.name, traceback.format_exc())
        return Done(one.name, diagnostics=made.diagnostics, fault=made.fault)


def _collate(
    one: PieceFile, others: Sequence[PieceFile], sigla: Sequence[str], level: Level, out: Path | None, *, write: bool
) -> Done:
    # Imported late: refusing files must not wait for the reading.
    from pipeline.desk.collate.beside import beside  # noqa: PLC0415
    from pipeline.desk.collate.collating import collated  # noqa: PLC0415
    from pipeline.desk.collate.declaring import own_witness, witness_of  # noqa: PLC0415
    from pipeline.source.encoding import write_encoding  # noqa: PLC0415
    from pipeline.source.read import sounding_piece  # noqa: PLC0415

    read = [_read(piece) for piece in (one, *others)]
    sources = tuple(source for each in read for source in each.sources)
    grave = tuple(finding for each in read for finding in each.diagnostics)
    found = [each.read for each in read if each.read is not None]
    if grave or len(found) < len(read):
        return Done(one.name, diagnostics=grave, sources=sources)
    first, *rest = found
    inherited = first.texts[:-1]
    own = own_witness(first.sounding.tablature, first.sounding.heading, "").siglum
    if own in sigla:
        return Done(one.name, own=own)
    said: list[Diagnostic] = []
    made: list[OneCollated] = []
    text = write_encoding(first.sounding.tablature)
    for place, (piece, other) in enumerate(zip(others, rest, strict=True)):
        base = sounding_piece(SourceText.of(one.name, text), inherited).value if made else first.sounding
        asked = sigla[place] if place < len(sigla) else ""
        witness = witness_of(other.sounding.tablature, other.sounding.heading, base.heading, asked)
        done = collated(base, other.sounding, witness, level, inherited)
        said += [*done.diagnostics, *beside(base, first.song, other.sounding, other.song, level)]
        made.append(OneCollated(piece.name, witness, done))
        if done.tablature is None:
            return Done(one.name, tuple(made), diagnostics=tuple(said), sources=sources)
        text = write_encoding(done.tablature)
    result = Done(one.name, tuple(made), diagnostics=tuple(said), sources=sources)
    return _put(result, read[0].data, out or one.path, text.encode(), write=write)


def take(one: PieceFile, siglum: str, out: Path) -> Done:
    """What a source has, taken out of a collated text and written to ``out``; for the siglum of the text's own source,
    the text without the readings of all others."""
    try:
        return _take(one, siglum, out)
    except Exception:
        made = broken_down(one.name, traceback.format_exc())
        return Done(one.name, diagnostics=made.diagnostics, fault=made.fault)


def _take(one: PieceFile, siglum: str, out: Path) -> Done:
    from pipeline.desk.collate.declaring import alone  # noqa: PLC0415  as above
    from pipeline.desk.collate.taking import edition_of, taken  # noqa: PLC0415  as above
    from pipeline.source.encoding import write_encoding  # noqa: PLC0415

    found = _read(one)
    read = found.read
    if read is None or found.diagnostics:
        return Done(one.name, diagnostics=found.diagnostics, sources=found.sources)
    heading, tablature = read.sounding.heading, read.sounding.tablature
    sigla = [witness.siglum for witness in heading.witnesses]
    if siglum not in sigla:
        known = f"It declares {', '.join(sigla)}." if sigla else "It declares none."
        refused = Diagnostic(CANNOT_COLLATE, Span(one.name, 1, 1, 1), f"No source {siglum} is declared.", known)
        return Done(one.name, diagnostics=(refused,), sources=found.sources)
    if siglum == sigla[0]:
        for other in sigla[1:]:
            tablature = edition_of(tablature, other)
    else:
        tablature = taken(tablature, heading, siglum)
    tablature = alone(tablature, siglum)
    data = write_encoding(tablature).encode()
    return _put(Done(one.name, sources=found.sources), b"", out, data, write=True)


def _put(done: Done, read: bytes, path: Path, data: bytes, *, write: bool) -> Done:
    """Write the text, unless it lies there already; never over another than the one that was ``read``."""
    try:
        before = read_file(path, path.as_posix()).data if may_exist(path) else None
        if before == data:
            return replace(done, path=path, same=True)
        if not write:
            return done
        if before is not None and before != read:
            return replace(done, occupied=path)
        write_source(path, data)
    except OSError as error:
        return replace(done, diagnostics=(*done.diagnostics, cannot_write(done.name, path, error)))
    return replace(done, path=path)


@dataclass(frozen=True, slots=True)
class _Found:
    read: Read | None
    diagnostics: tuple[Diagnostic, ...]
    sources: tuple[SourceText, ...]
    data: bytes = b""


def _read(piece: PieceFile) -> _Found:
    """A piece, and what of its typing or heading is an error: a bar of the wrong length is one of the music."""
    from pipeline.findings.codes import heading, limits, music, syntax  # noqa: PLC0415  as above
    from pipeline.source.declare import files_named  # noqa: PLC0415
    from pipeline.source.read import read_piece  # noqa: PLC0415

    texts = read_texts(piece)
    if not texts.usable:
        return _Found(None, texts.diagnostics, texts.sources)
    files = {name: read_voice_file(piece, name) for name in files_named((*texts.inherited, texts.text.source))}
    read = read_piece(texts.text.source, texts.inherited, files)
    typing = {code.slug for module in (syntax, heading, music, limits) for code in _codes_of(module)}
    found = tuple(
        one
        for one in read.settled(*texts.diagnostics)
        if one.code.severity is Severity.ERROR and (one.code.fixed or one.code.slug in typing)
    )
    return _Found(read, found, texts.sources, texts.text.data)


def _codes_of(module: ModuleType) -> Iterator[Code]:
    return (code for code in vars(module).values() if isinstance(code, Code))
