"""Watching: what changed is built again, and open pages are told.

The files are looked at several times a second, by date, size and number: that works the same on every system, on
network drives and in containers, for editors that write in place and for those that write beside and rename, and a
thousand files take a few milliseconds. Dates only say that something may have changed; what is built, and what stands,
is told by content as in every build.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

from pipeline.desk.proof.record import ListedPiece
from pipeline.folder.batch import Crew, Done, build_all
from pipeline.folder.batch.index import INDEX, STAMP, listed_piece, write_index_of
from pipeline.folder.batch.work import preload
from pipeline.folder.cache import RECORD, fingerprint, read_record
from pipeline.folder.files import (
    HEADING,
    ROOT_SIGN,
    SUFFIX,
    NoSuchPieceError,
    PieceFile,
    exists,
    is_folder,
    sole_writer,
    survey,
    whole_of,
    write_whole,
)
from pipeline.model.artefacts import Form
from pipeline.model.options import Options

#: Seconds between two looks; a look never takes more than a twentieth of the time.
PAUSE, SHARE = 0.05, 20
#: Seconds in which nothing more may change before work begins, and looks after which it begins all the same.
SETTLED, MOST_LOOKS = 0.04, 25

#: The stamp that says that the watch has ended.
ENDED = b'longneckStamp("");\n'

#: Date in nanoseconds, size, number of the file; None where there is none.
_State = tuple[int, int, int] | None
_States = Mapping[Path, _State]


@dataclass(frozen=True, slots=True)
class Round:
    """One rebuild: what became of each piece that was built, the names of pieces that are gone, seconds from the end
    of the change to the stamps, and what else is to be said."""

    done: tuple[Done, ...]
    gone: tuple[str, ...]
    seconds: float
    remarks: tuple[str, ...] = ()


@dataclass(slots=True)
class Watch:
    """Looks at the pieces under ``paths`` and keeps their builds under ``out`` up to date."""

    paths: Sequence[Path]
    out: Path
    options: Options
    crew: Crew | None = None
    waits: Callable[[], None] = lambda: None
    sleep: Callable[[float], None] = time.sleep
    _seen: _States = field(default_factory=dict)
    _pieces: dict[Path, PieceFile] = field(default_factory=dict)
    _listed: dict[Path, ListedPiece] = field(default_factory=dict)
    #: For each piece the further files that its last build read.
    _named: dict[Path, frozenset[Path]] = field(default_factory=dict)

    def look(self) -> Round | None:
        """Build what has changed since the last look; the first time, everything. None if there was nothing to do."""
        states = self._states()
        if states == self._seen:
            return None
        states = self._settled(states)
        began = time.perf_counter()
        changed = {path for path in states.keys() | self._seen.keys() if states.get(path) != self._seen.get(path)}
        self._seen = states
        pieces, remarks = self._found()
        gone = tuple(piece.name for path, piece in self._pieces.items() if path not in pieces)
        before, self._pieces = self._pieces, pieces
        affected = [piece for piece in pieces.values() if piece.path not in before or self._touched(piece, changed)]
        done = tuple(build_all(affected, self.out, self.options, self.crew, self.waits, index=False))
        remarks += tuple(self._tell(affected, done))
        for piece in affected:
            self._named[piece.path] = frozenset(_named_by(piece, self.out))
        self._seen = {**self._states_of(path for piece in affected for path in self._named[piece.path]), **states}
        if not (done or gone or remarks):
            return None
        return Round(done, gone, time.perf_counter() - began, remarks)

    def rounds(self) -> Iterator[Round]:
        """Every rebuild as it comes, until the process is stopped."""
        while True:
            began = time.perf_counter()
            found = self.look()
            if found is not None:
                yield found
                self._keep_warm()
                continue
            self.sleep(max(PAUSE, SHARE * (time.perf_counter() - began)))

    def end(self) -> None:
        """Tell the pages that nobody watches any more. Raises OSError."""
        with sole_writer(self.out, self.waits):
            for folder in (self.out, *(self.out / piece.place for piece in self._pieces.values())):
                if exists(folder / STAMP):
                    write_whole(folder / STAMP, ENDED)

    def _keep_warm(self) -> None:
        """Have a process at hand that has loaded everything, whatever became of the last one."""
        if self.crew is not None:
            with suppress(RuntimeError):  # the crew has gone home
                self.crew.executor.submit(preload)

    # --- what there is ------------------------------------------------------------------------------------

    def _states(self) -> _States:
        """The state of every file that a build may depend on."""
        states: dict[Path, _State] = dict(_scanned(self.paths, self.out))
        folders = {path.parent for path in states} | {path if is_folder(path) else path.parent for path in self.paths}
        headings = {heading for folder in folders for heading in headings_of(folder)}
        named = {path for paths in self._named.values() for path in paths}
        return {**states, **self._states_of(headings | named)}

    def _states_of(self, paths: Iterable[Path]) -> _States:
        return {path: state_of(path) for path in paths}

    def _settled(self, states: _States) -> _States:
        """The states when nothing has changed for a moment: an editor may write in several steps."""
        for _ in range(MOST_LOOKS):
            self.sleep(SETTLED)
            later = self._states()
            if later == states:
                break
            states = later
        return states

    def _found(self) -> tuple[dict[Path, PieceFile], tuple[str, ...]]:
        """The pieces by path, in order. Of two that would be built into one folder the first is."""
        found: dict[Path, PieceFile] = {}
        remarks: list[str] = []
        for path in self.paths:
            try:
                seen = survey([path])
            except NoSuchPieceError as error:
                remarks.append(str(error))
                continue
            found |= {piece.path: piece for piece in seen.pieces}
            remarks += [f"{one.name} cannot be looked into: {one.reason}" for one in seen.unread]
        taken: dict[Path, PieceFile] = {}
        for piece in found.values():
            first = taken.setdefault(piece.place, piece)
            if first is not piece:
                where = (self.out / piece.place).as_posix()
                remarks.append(f"{piece.name} is left out: {first.name} is built into {where} already")
        return {piece.path: piece for piece in taken.values()}, tuple(remarks)

    def _touched(self, piece: PieceFile, changed: set[Path]) -> bool:
        if piece.path in changed or not changed.isdisjoint(self._named.get(piece.path, ())):
            return True
        return not changed.isdisjoint(headings_of(piece.path.parent))

    # --- telling the pages --------------------------------------------------------------------------------

    def _tell(self, built: Sequence[PieceFile], done: Sequence[Done]) -> Iterator[str]:
        """Write the page of all pieces, and the stamps, last of all: a page that sees one finds everything else in
        place."""
        self._listed |= {piece.path: listed_piece(piece.place, one) for piece, one in zip(built, done, strict=True)}
        try:
            with sole_writer(self.out, self.waits):
                if self.options.wants(Form.PROOF):
                    listed = [self._listed[path] for path in self._pieces]
                    write_index_of(listed, self.out, live=self.options.live)
                    write_whole(self.out / STAMP, stamp_of([self.out / INDEX]))
                for one in done:
                    if one.written:
                        write_whole(one.written[0].parent / STAMP, stamp_of(one.written))
        except OSError as error:
            yield f"open pages cannot be notified: {error.strerror or error}"


def stamp_of(written: Iterable[Path]) -> bytes:
    """The script that a page loads over and over: it calls ``longneckStamp`` with a hash of what was written."""
    every = "".join(fingerprint(whole_of(path)) for path in written)
    return f'longneckStamp("{fingerprint(every.encode())[:32]}");\n'.encode()


def _scanned(paths: Iterable[Path], out: Path) -> Iterator[tuple[Path, _State]]:
    """Every piece and heading under the paths, with its state; the folder of the outputs is left out."""
    for path in paths:
        if is_folder(path):
            yield from _under(path, out)
        else:
            yield path, state_of(path)


def _under(folder: Path, out: Path) -> Iterator[tuple[Path, _State]]:
    with suppress(OSError), os.scandir(folder) as entries:  # a folder may vanish while it is read
        for entry in entries:
            if entry.name.startswith("."):
                continue
            path = folder / entry.name
            if entry.is_dir(follow_symlinks=False):
                if path != out:
                    yield from _under(path, out)
            elif entry.name.endswith(SUFFIX):
                yield path, state_of(path)


def state_of(path: Path) -> _State:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino


def headings_of(folder: Path) -> Iterator[Path]:
    """Where a heading may stand that the pieces of a folder inherit, whether it does or not."""
    whole = folder.resolve()
    for above in (whole, *whole.parents):
        yield above / HEADING
        if exists(above / ROOT_SIGN):
            return


def _named_by(piece: PieceFile, out: Path) -> Iterator[Path]:
    """The further files that the last build of a piece read, as its record tells."""
    with suppress(OSError):
        record = read_record(whole_of(out / piece.place / RECORD))
        yield from (piece.path.parent / name for name in record.files) if record is not None else ()
