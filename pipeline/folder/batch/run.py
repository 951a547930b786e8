"""The run over many pieces: results in the order of the pieces, whoever does the work and in whatever order."""

from __future__ import annotations

import traceback
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, wait
from contextlib import ExitStack, suppress
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from pipeline.folder.batch.clashes import clashes
from pipeline.folder.batch.ends import NobodyError, made_of
from pipeline.folder.batch.index import INDEX, unfinished, with_index
from pipeline.folder.batch.jobs import Crew, Done, Job, Made, Parcel
from pipeline.folder.batch.reading import Reader, file_hash_key, with_files
from pipeline.folder.batch.shares import Share, with_share
from pipeline.folder.batch.work import Work, broken_down, build_parcel, check_parcel
from pipeline.folder.batch.writing import done_again, done_of, written
from pipeline.folder.cache import Recalled, fingerprint, inputs_hash, program_hash, recalled
from pipeline.folder.files import PieceFile, clear_leftovers, exists, read_voice_file, sole_writer
from pipeline.model.artefacts import Form
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.options import Options
from pipeline.model.record import replace

#: Pieces that are read and sent ahead of the work, for each that is worked on at a time.
AHEAD = 2
#: Pieces that may be done before one whose turn it is; of every so many it is said that they wait for it.
MOST_WAITING, TOLD = 500, 100

#: Told, with the name of the piece and how many wait for it, when others have long been done.
Slow = Callable[[str, int], None]


def silent(name: str, waiting: int) -> None:
    """Tell nobody."""


def check_all(pieces: Sequence[PieceFile], crew: Crew | None = None, slow: Slow = silent) -> Iterator[Done]:
    """The findings on every piece, in order; nothing is written. ``crew`` and ``slow`` as for :func:`build_all`."""
    reader = Reader()
    return Run(partial(_begin_check, reader), check_parcel, done_of, crew, slow).over(map(Job, pieces))


def build_all(
    pieces: Sequence[PieceFile],
    out: Path,
    options: Options,
    crew: Crew | None = None,
    waits: Callable[[], None] = lambda: None,
    slow: Slow = silent,
    *,
    index: bool = True,
    share: Share | None = None,
) -> Iterator[Done]:
    """Every piece built into its own folder under ``out``, in order. What an earlier build left is kept where nothing
    has changed.

    ``crew`` does the work; without one it is done here, one piece after another.
    ``slow`` is called when many pieces are done that wait for one before them, whose turn it is.
    The folder is locked meanwhile; ``waits`` is called if another build holds it, which is waited for. With ``index``
    the page of all pieces is written, if there are proof pages, or there is one that would grow old. Of a ``share`` of
    them its pieces alone are built, and its record is written instead.
    """
    build = _Build(options, clashes(pieces, out))
    if share is not None:
        pieces = share.of_pieces(pieces)
    jobs = (Job(piece, out / piece.place, out) for piece in pieces)
    with ExitStack() as held:
        with suppress(OSError):  # what cannot be written will be said of each piece
            held.enter_context(sole_writer(out, waits))
            clear_leftovers(out)
        done = Run(build.begin, build.work, build.finish, crew, slow).over(jobs)
        places = [piece.place for piece in pieces]
        if share is not None:
            with suppress(OSError):  # it will be said of the record
                unfinished(out)
            done = with_share(done, places, out, share, options)
        elif index and (options.wants(Form.PROOF) or exists(out / INDEX)):
            done = with_index(done, places, len(places), out, live=options.live)
        yield from done


def check_one(job: Job) -> Done:
    """Check one piece, here. Never raises: a fault of the program becomes one finding."""
    return next(Run(partial(_begin_check, Reader()), check_parcel, done_of).over([job]))


def build_one(job: Job, options: Options) -> Done:
    """Build one piece, here, and write its artefacts. Never raises, as above."""
    build = _Build(options)
    return next(Run(build.begin, build.work, build.finish).over([job]))


def _home(job: Job) -> str:
    """The way from the folder of the outputs up to the page of all pieces."""
    if job.folder is None or job.within is None:
        return ""
    return f"{'../' * len(job.folder.relative_to(job.within).parts)}{INDEX}"


def _begin_check(reader: Reader, job: Job) -> Parcel:
    return with_files(reader.parcel(job.piece), job.piece)


@dataclass(slots=True)
class _Build:
    """Both ends of a build, on this side of the work."""

    options: Options
    clashes: Mapping[Path, Diagnostic] = field(default_factory=dict)
    work: Work = field(init=False)
    _reader: Reader = field(default_factory=Reader)

    def __post_init__(self) -> None:
        self.work = partial(build_parcel, options=self.options)

    def begin(self, job: Job) -> Parcel | Done:
        """What is to be worked on, or, if an earlier build still stands, or none can, what became of it."""
        clash = self.clashes.get(job.piece.place)
        if clash is not None:
            return Done(job.piece.name, (clash,), unbuilt=True)
        parcel = replace(self._reader.parcel(job.piece), home=_home(job))
        if job.folder is not None:
            clear_leftovers(job.folder)
            before = self._before(job, parcel, job.folder)
            if before is not None:
                return done_again(job, parcel, before)
        return with_files(parcel, job.piece)

    def finish(self, job: Job, parcel: Parcel, made: Made) -> Done:
        return written(job, parcel, made, self._inputs(parcel), self.options)

    def _before(self, job: Job, parcel: Parcel, folder: Path) -> Recalled | None:
        def file_hash(name: str) -> str:
            return fingerprint(file_hash_key(read_voice_file(job.piece, name)))

        return recalled(folder, self._inputs(parcel), file_hash)

    def _inputs(self, parcel: Parcel) -> str:
        texts = [(raw.name, raw.refused, raw.data) for raw in parcel.texts]
        texts.append(("", parcel.home, b""))
        if parcel.marks is not None:
            texts.append((parcel.marks.name, parcel.marks.refused, parcel.marks.data))
        return inputs_hash(texts, self.options, program_hash())


@dataclass(slots=True)
class Run:
    """A run of any kind of work. ``begin`` reads a piece, or knows already what became of it; ``work`` makes it;
    ``finish`` writes it."""

    begin: Callable[[Job], Parcel | Done]
    work: Work
    finish: Callable[[Job, Parcel, Made], Done]
    crew: Crew | None = None
    slow: Slow = silent
    _ready: dict[int, Done] = field(default_factory=dict)
    _under_way: dict[Future[Made], tuple[int, Job, Parcel]] = field(default_factory=dict)
    _gone: Exception | None = None

    def over(self, jobs: Iterable[Job]) -> Iterator[Done]:
        """What became of each, in order. No more pieces are held in memory than are under way, and what became of
        no more than may wait for one before them."""
        due = 0
        try:
            for number, job in enumerate(jobs):
                self._start(number, job)
                self._collect(self.crew.width * AHEAD if self.crew else 1)
                while len(self._ready) >= MOST_WAITING and due not in self._ready:
                    self._collect(len(self._under_way))
                while due in self._ready:
                    yield self._ready.pop(due)
                    due += 1
            while self._under_way or due in self._ready:
                while due in self._ready:
                    yield self._ready.pop(due)
                    due += 1
                self._collect(len(self._under_way))
        finally:
            for future in self._under_way:
                future.cancel()

    def _start(self, number: int, job: Job) -> None:
        try:
            begun = self.begin(job)
        except Exception:
            begun = _broken_down(job)
        if isinstance(begun, Done):
            self._ready[number] = begun
        elif self.crew is None:
            self._end(number, job, begun, partial(self.work, begun))
        elif self._gone is not None:
            self._end(number, job, begun, partial(_again, self._gone))
        else:
            try:
                self._under_way[self.crew.executor.submit(self.work, begun)] = number, job, begun
            except Exception as error:  # a pool that is broken or closed
                self._end(number, job, begun, partial(_again, error))

    def _end(self, number: int, job: Job, parcel: Parcel, result: Callable[[], Made]) -> None:
        """Take in what came of a piece, or how the work on it ended."""
        try:
            made = result()
        except Exception as error:
            made = made_of(parcel.name, error)
        try:
            self._ready[number] = self.finish(job, parcel, made)
        except Exception:
            self._ready[number] = _broken_down(job)
        if self._under_way and len(self._ready) % TOLD == 0:
            first, slowest, _ = min(self._under_way.values(), key=lambda one: one[0])
            if first < min(self._ready):
                self.slow(slowest.piece.name, len(self._ready))

    def _collect(self, most: int) -> None:
        """Take in what is done; wait for one if ``most`` pieces or more are under way."""
        if not self._under_way or self.crew is None:
            return
        full = len(self._under_way) >= most
        done, _ = wait(self._under_way, self.crew.patience if full else 0, FIRST_COMPLETED)
        for future in done:
            number, job, parcel = self._under_way.pop(future)
            self._end(number, job, parcel, future.result)
        if full and not done:
            self._give_up()

    def _give_up(self) -> None:
        self._gone = NobodyError("there was no answer")
        for future, (number, job, parcel) in self._under_way.items():
            future.cancel()
            self._end(number, job, parcel, partial(_again, self._gone))
        self._under_way.clear()


def _again(error: Exception) -> Made:
    """A result that is no result."""
    raise error


def _broken_down(job: Job) -> Done:
    """What became of a piece that could not even be read, or written, for a fault of the program."""
    made = broken_down(job.piece.name, traceback.format_exc())
    return Done(job.piece.name, made.diagnostics, fault=made.fault, unbuilt=True)
