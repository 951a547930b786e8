"""One run in shares: each job builds some of the pieces and keeps a record; from all of them :mod:`joining` makes what
one run would have made.

Which share a piece belongs to is told by its place alone, so a new piece moves no other to another job, and what a job
has kept from an earlier run stays of use.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from pipeline.findings.document import finding_fields
from pipeline.folder.batch.jobs import Done
from pipeline.folder.batch.writing import cannot_write
from pipeline.folder.cache import options_told, program_hash
from pipeline.folder.files import Found, Names, PieceFile, write_parts
from pipeline.model.options import Options
from pipeline.model.record import replace
from pipeline.model.text import SourceText

#: Raised when the form of the record changes.
FORM = 1
_NAME = re.compile(r"share-(\d+)-of-(\d+)\.jsonl")


@dataclass(frozen=True, slots=True)
class Share:
    """Share ``number`` of ``of``, counted from 1. ``pieces`` is how many the whole run is about, ``places`` their hash,
    so that shares of different collections are not taken for one run; ``top`` leads to the top of the collection,
    ``unread`` are the folders that could not be looked into, each with the reason."""

    number: int
    of: int
    pieces: int
    places: str
    top: str
    unread: tuple[tuple[str, str], ...] = ()

    @classmethod
    def among(cls, found: Found, number: int, of: int) -> Share:
        digest = hashlib.sha256()
        for piece in found.pieces:
            digest.update(os.fsencode(piece.place.as_posix()) + b"\0")
        top = os.path.relpath(Names.of(found).top)
        unread = tuple((one.name, one.reason) for one in found.unread)
        return cls(number, of, len(found.pieces), digest.hexdigest(), Path(top).as_posix(), unread)

    def has(self, place: Path) -> bool:
        """True if the piece of this place belongs to it."""
        found = hashlib.sha256(os.fsencode(place.as_posix())).digest()
        return int.from_bytes(found) % self.of == self.number - 1

    def of_pieces(self, pieces: Iterable[PieceFile]) -> tuple[PieceFile, ...]:
        """Those of the pieces that belong to it, in their order."""
        return tuple(piece for piece in pieces if self.has(piece.place))

    @property
    def name(self) -> str:
        """The file name of its record."""
        return f"share-{self.number}-of-{self.of}.jsonl"


def is_share(name: str) -> bool:
    return _NAME.fullmatch(name) is not None


def with_share(
    done: Iterator[Done], places: Sequence[Path], out: Path, share: Share, options: Options
) -> Iterator[Done]:
    """The same, in order; before the last one the record of the share is written into ``out``. If it cannot be, a
    finding among those of the last piece says so; of a share without pieces, OSError is raised."""
    with tempfile.TemporaryFile() as spool:
        _add(spool, _head(share, options))
        for number, (place, one) in enumerate(zip(places, done, strict=True), start=1):
            _add(spool, _fields(place, one))
            if number < len(places):
                yield one
                continue
            yield _last(one, out / share.name, spool)
        if not places:
            _write(out / share.name, spool)


def _last(one: Done, file: Path, spool: IO[bytes]) -> Done:
    try:
        _write(file, spool)
    except OSError as error:
        return replace(one, diagnostics=(*one.diagnostics, cannot_write(file.as_posix(), file, error)))
    return one


def _head(share: Share, options: Options) -> dict[str, Any]:
    how = {"program": program_hash(), "options": options_told(options)}
    what = {"pieces": share.pieces, "places": share.places, "top": share.top, "unread": share.unread}
    return {"form": FORM, "share": share.number, "of": share.of, **what, **how}


def _fields(place: Path, one: Done) -> dict[str, Any]:
    """All that a report, the index or the reader is told of a piece."""
    return {
        "place": place.as_posix(),
        "name": one.name,
        "title": one.title,
        "written": [path.name for path in one.written],
        "warnings": list(one.warnings),
        "fault": one.fault,
        "unbuilt": one.unbuilt,
        "findings": [finding_fields(found) for found in one.diagnostics],
        "lines": _lines(one),
    }


def _lines(one: Done) -> dict[str, dict[str, str]]:
    """What is typed in the lines that the findings speak of: by file, by number."""
    sources: dict[str, SourceText] = {source.name: source for source in one.sources}
    lines: dict[str, dict[str, str]] = {}
    for found in one.diagnostics:
        source = sources.get(found.span.file)
        if source is not None:
            lines.setdefault(source.name, {})[str(found.span.line)] = source.line(found.span.line)
    return lines


def _add(spool: IO[bytes], fields: dict[str, Any]) -> None:
    spool.write(json.dumps(fields).encode() + b"\n")


def _write(path: Path, spool: IO[bytes]) -> None:
    """The record, sealed with a hash of all its lines."""
    spool.seek(0)
    digest = hashlib.sha256()
    for line in spool:
        digest.update(line)
    spool.seek(0)
    path.parent.mkdir(parents=True, exist_ok=True)
    for other in _of_another_run(path):
        other.unlink()
    write_parts(path, _sealed(spool, digest.hexdigest()))


def _of_another_run(path: Path) -> list[Path]:
    """Records beside this one that belong to another number of shares: left by an earlier run, they could never be
    joined with it."""
    found = _NAME.fullmatch(path.name)
    assert found is not None
    others = ((other, _NAME.fullmatch(other.name)) for other in path.parent.iterdir())
    return sorted(other for other, named in others if named and named[2] != found[2] and other.is_file())


def _sealed(lines: Iterable[bytes], seal: str) -> Iterator[bytes]:
    yield from lines
    yield json.dumps({"seal": seal}).encode() + b"\n"
