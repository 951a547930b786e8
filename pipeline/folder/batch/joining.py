"""What one run would have made, from the shares of several: editions carried together, and what became of each piece
told again in the order of one run, so that reports and index come out the same."""

from __future__ import annotations

import hashlib
import heapq
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pipeline.findings.recorded import finding_of
from pipeline.folder.batch.index import INDEX, with_index
from pipeline.folder.batch.jobs import Done
from pipeline.folder.batch.shares import FORM, is_share
from pipeline.folder.batch.writing import cannot_write
from pipeline.folder.cache import RECORD, UnknownOptionsError, options_read, program_hash
from pipeline.folder.files import (
    Names,
    Unread,
    artefacts_in,
    clear_leftovers,
    exists,
    opened,
    reason,
    sole_writer,
    whole_of,
    write_artefacts,
    write_changed,
)
from pipeline.model.artefacts import Form
from pipeline.model.options import Options
from pipeline.model.record import replace
from pipeline.model.text import SourceText


class BadShareError(Exception):
    """The shares do not make one run; the message says why."""


@dataclass(frozen=True, slots=True)
class Run:
    """The run that the shares make. ``pieces`` is how many it is about, ``names`` what files are called in it,
    ``unread`` the folders that could not be looked into; ``shares`` are the records."""

    pieces: int
    names: Names
    unread: tuple[Unread, ...]
    options: Options
    shares: tuple[Path, ...]


def run_of(folders: Sequence[Path]) -> Run:
    """The run whose shares lie in these folders, all there and unharmed. Raises BadShareError."""
    files = [path for folder in folders for path in _records(folder)]
    if not files:
        raise BadShareError(f"there is no record of a share in {', '.join(folder.as_posix() for folder in folders)}")
    heads = [(path, _head(path)) for path in files]
    first, head = heads[0]
    for path, other in heads:
        for name, why in _WHY.items():
            if other[name] != head[name]:
                raise BadShareError(f"{path.as_posix()} and {first.as_posix()} are no shares of one run: {why}")
    if head["program"] != program_hash():
        raise BadShareError("the shares were built by another version of longneck, or of its libraries")
    numbers = sorted(other["share"] for _, other in heads)
    for number in range(1, head["of"] + 1):
        if numbers.count(number) != 1:
            said = "is missing" if number not in numbers else "is there twice"
            raise BadShareError(f"share {number} of {head['of']} {said}")
    try:
        options = options_read(head["options"])
    except UnknownOptionsError as error:
        raise BadShareError(f"{first.as_posix()}: unknown options: {error}") from error
    names = Names(Path(head["top"]).resolve())
    unread = tuple(Unread(Path(name), name, said) for name, said in head["unread"])
    return Run(head["pieces"], names, unread, options, tuple(files))


_WHY = {
    "of": "they are of different numbers of shares",
    "pieces": "they are of different numbers of pieces",
    "places": "they are of different pieces",
    "top": "they were built in different folders",
    "unread": "they could not look into the same folders",
    "options": "they were built with different options",
    "program": "they were built by different versions of longneck, or of its libraries",
}


def join_all(run: Run, out: Path, waits: Callable[[], None] = lambda: None) -> Iterator[Done]:
    """What became of every piece, in the order of one run, its edition carried into ``out`` unless it lies there; the
    index is written before the last one. Raises OSError if ``out`` cannot be written to."""
    with sole_writer(out, waits):
        clear_leftovers(out)
        done: Iterator[Done] = (_carried(path.parent, fields, out) for path, fields in _in_order(run))
        if run.options.wants(Form.PROOF) or exists(out / INDEX):
            done = with_index(done, (Path(fields["place"]) for _, fields in _in_order(run)), run.pieces, out)
        yield from done


def _carried(folder: Path, fields: Mapping[str, Any], out: Path) -> Done:
    """What became of a piece, its edition in its place under ``out``."""
    there, here = folder / fields["place"], out / fields["place"]
    lines = ((name, {int(number): line for number, line in some.items()}) for name, some in fields["lines"].items())
    done = Done(
        fields["name"],
        tuple(finding_of(found) for found in fields["findings"]),
        tuple(SourceText(name, _filled(some)) for name, some in lines),
        tuple(here / name for name in fields["written"]),
        tuple(fields["warnings"]),
        fault=fields["fault"],
        title=fields["title"],
        unbuilt=fields["unbuilt"],
    )
    if folder.resolve() == out.resolve() or not fields["written"]:
        return done
    try:
        write_artefacts(here, ((name, whole_of(there / name)) for name in fields["written"]))
        if exists(there / RECORD):
            write_changed(here / RECORD, whole_of(there / RECORD))
    except OSError as error:
        found = (*done.diagnostics, cannot_write(done.name, here, error))
        return replace(done, diagnostics=found, written=artefacts_in(here), unbuilt=True)
    return done


def _filled(lines: Mapping[int, str]) -> tuple[str, ...]:
    """A text of which only these lines are known, counted from 1."""
    return tuple(lines.get(number, "") for number in range(1, max(lines) + 1))


def _in_order(run: Run) -> Iterator[tuple[Path, dict[str, Any]]]:
    """Every piece with the record of its share, in the order of one run."""
    return heapq.merge(*(_pieces(path) for path in run.shares), key=lambda line: line[1]["place"].split("/"))


def _pieces(path: Path) -> Iterator[tuple[Path, dict[str, Any]]]:
    with opened(path) as lines:
        next(lines)
        for line in lines:
            fields = json.loads(line)
            if "seal" not in fields:
                yield path, fields


def _records(folder: Path) -> Iterator[Path]:
    try:
        yield from sorted(path for path in folder.iterdir() if is_share(path.name))
    except OSError as error:
        raise BadShareError(f"{folder.as_posix()} cannot be read: {reason(error)}") from error


def _head(path: Path) -> dict[str, Any]:
    """The first line of a record that is whole. Raises BadShareError."""
    digest, head, line = hashlib.sha256(), b"", b""
    try:
        with opened(path) as lines:
            for following in lines:
                digest.update(line)
                head, line = head or following, following
        seal, fields = json.loads(line), json.loads(head)
        if seal == {"seal": digest.hexdigest()} and fields["form"] == FORM:
            return dict(fields)
    except OSError as error:
        raise BadShareError(f"{path.as_posix()} cannot be read: {reason(error)}") from error
    except (ValueError, KeyError, TypeError):
        pass
    raise BadShareError(f"{path.as_posix()} is not the record of a share, or not whole: build that share again")
