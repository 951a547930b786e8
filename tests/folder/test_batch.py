"""Batches: any executor gives the same, each piece stands alone, and whatever ends the work on one ends no other."""

from __future__ import annotations

import ctypes
import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import pytest

from pipeline.folder.batch import Crew, Done, Limits, Made, build_all, check_all
from pipeline.folder.batch.guard import Workers
from pipeline.folder.cache import read_findings
from pipeline.folder.files import discover
from pipeline.model.artefacts import Form
from pipeline.model.diagnostics import Severity
from pipeline.model.options import Options

ROOT = Path(__file__).parents[2]
PIECE = "longneck 1\ntitle {}\ninstrument theorbo in A\nmetre C\n\n| 2=7,4:0,3:0 4=3:2 3:3\n| 1={},4:2 |||\n"
FEW = Limits(2.0, 1000)
#: Only the findings and one form: the tests are about the pieces around it.
QUICK = Options(copy=False, forms=(Form.MUSICXML,))


@pytest.fixture
def pieces(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Path, ...]:
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    for number, stop in enumerate(("8", "8:1", "9")):
        Path(f"{number}.intav").write_text(PIECE.format(number, stop), encoding="utf-8")
    return (Path(),)


@pytest.fixture(scope="module")
def workers() -> Iterator[Workers]:
    with Workers(2, FEW) as executor:
        yield executor


def contents(folder: Path) -> dict[str, bytes]:
    """Every file under a folder, hidden ones too."""
    return {file.relative_to(folder).as_posix(): file.read_bytes() for file in folder.rglob("*") if file.is_file()}


class Spoilt(Executor):
    """Another executor, with something that happens to one piece before the work on it begins."""

    def __init__(self, inner: Executor, name: str, event: Callable[[], object]) -> None:
        self.inner, self.name, self.event = inner, name, event

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        return self.inner.submit(spoilt, self.name, self.event, fn, *args, **kwargs)


def spoilt(name: str, event: Callable[[], object], work: Callable[..., Made], *arguments: Any) -> Made:
    if arguments[-1].name == name:
        event()
    return work(*arguments)


def crash() -> None:
    ctypes.string_at(0)


def leave() -> None:
    os._exit(7)


def hang() -> None:
    time.sleep(600)


def hang_deaf() -> None:
    """Hangs where no Python code runs and no signal is heard, as a library can."""
    signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGALRM})
    time.sleep(600)


def swell() -> None:
    kept = [bytearray(10**8)]
    kept.append(bytearray(10**10))


def swell_outside() -> None:
    """Memory taken by a library that ends the process when there is no more."""
    os.write(2, b"terminate called after throwing an instance of 'std::bad_alloc'\n")
    os.abort()


def chatter() -> None:
    print("what a library prints")
    os.write(1, b"and what it writes past Python\n")


# --- order and place change nothing ------------------------------------------------------------------------


class Backwards(Executor):
    """Does the work when it is asked for a result, the last piece first."""

    def __init__(self) -> None:
        self.waiting: list[tuple[Future[Any], Callable[[], Any]]] = []

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        future: Future[Any] = Future()
        self.waiting.append((future, lambda: fn(*args, **kwargs)))
        if len(self.waiting) == 3:
            for waiting, work in reversed(self.waiting):
                waiting.set_result(work())
        return future


def test_any_executor_will_do(pieces: tuple[Path, ...], workers: Workers) -> None:
    here = list(check_all(discover(pieces)))
    assert [len(done.diagnostics) for done in here] == [0, 1, 0]
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as pool:
        assert list(check_all(discover(pieces), Crew(pool, 2))) == here
    assert list(check_all(discover(pieces), Crew(workers, 2))) == here
    assert list(check_all(discover(pieces), Crew(Backwards(), 2))) == here


def test_the_order_of_work_changes_nothing(pieces: tuple[Path, ...]) -> None:
    found = discover(pieces)
    forth = list(build_all(found, Path("forth"), QUICK))
    back = list(build_all(found, Path("back"), QUICK, Crew(Backwards(), 2)))
    assert [done.name for done in back] == ["0.intav", "1.intav", "2.intav"]
    assert [done.diagnostics for done in forth] == [done.diagnostics for done in back]
    assert contents(Path("forth")) == contents(Path("back"))


def test_a_piece_gives_the_same_alone_and_among_others(pieces: tuple[Path, ...]) -> None:
    together = list(check_all(discover(pieces)))
    alone = [next(check_all(discover([Path(done.name)]))) for done in together]
    assert alone == together


def test_the_title_goes_with_what_is_done(pieces: tuple[Path, ...]) -> None:
    assert [done.title for done in build_all(discover(pieces), Path("out"), QUICK)] == ["0", "1", "2"]
    again = list(build_all(discover(pieces), Path("out"), QUICK))
    assert [(done.title, done.kept) for done in again] == [("0", True), ("1", True), ("2", True)]


# --- one piece ends its process ----------------------------------------------------------------------------

ENDS = [
    (crash, "program-died", "longneck crashed on this piece: signal SIGSEGV.", True),
    (leave, "program-died", "longneck crashed on this piece: exit code 7.", True),
    (hang, "out-of-time", "The work was stopped: it took longer than 2 seconds.", False),
    (swell, "out-of-memory", "The work was stopped: it needed more memory than 1000 MB.", False),
    (swell_outside, "out-of-memory", "The work was stopped: it needed more memory than 1000 MB.", False),
]


@pytest.mark.parametrize(("event", "code", "message", "faulty"), ENDS, ids=[end[0].__name__ for end in ENDS])
def test_whatever_ends_one_piece_ends_no_other(
    pieces: tuple[Path, ...], workers: Workers, event: Callable[[], None], code: str, message: str, faulty: bool
) -> None:
    clean = list(build_all(discover(pieces), Path("clean"), QUICK))
    list(build_all(discover(pieces), Path("out"), Options(copy=False, forms=(Form.MEI,))))  # an older edition
    crew = Crew(Spoilt(workers, "1.intav", event), 2)
    done = list(build_all(discover(pieces), Path("out"), QUICK, crew))
    assert [one.diagnostics for one in (done[0], done[2])] == [one.diagnostics for one in (clean[0], clean[2])]
    (finding,) = done[1].diagnostics
    assert (finding.code.slug, finding.message, finding.severity) == (code, message, Severity.ERROR)
    assert bool(done[1].fault) is faulty
    # The edition that there was stays, with its record; beside it lies why there is no newer one.
    older = ["edition.mei", "findings.json"]
    assert sorted(path.name for path in Path("out/1").iterdir()) == sorted(["build.json", *older, "not-built.json"])
    assert read_findings(Path("out/1/not-built.json").read_bytes())[0].code.slug == code
    assert [path.name for path in done[1].written] == [*older, "not-built.json"] and done[1].unbuilt
    again = list(build_all(discover(pieces), Path("out"), QUICK, Crew(workers, 2)))
    assert [one.kept for one in again] == [True, False, True]
    assert contents(Path("out")) == contents(Path("clean"))


def test_a_process_that_hears_no_alarm_is_killed(pieces: tuple[Path, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("pipeline.folder.batch.guard.GRACE", 0.5)
    with Workers(1, Limits(1.0, 0)) as executor:
        done = list(check_all(discover(pieces), Crew(Spoilt(executor, "0.intav", hang_deaf), 1)))
    assert [[finding.code.slug for finding in one.diagnostics] for one in done] == [
        ["out-of-time"],
        ["fretted-diapason"],
        [],
    ]


def test_a_crash_says_where(pieces: tuple[Path, ...], workers: Workers) -> None:
    done = list(check_all(discover(pieces), Crew(Spoilt(workers, "0.intav", crash), 2)))
    assert "Segmentation fault" in done[0].fault
    assert "in crash" in done[0].fault


def test_what_a_library_prints_disturbs_nothing(pieces: tuple[Path, ...], workers: Workers) -> None:
    noisy = list(check_all(discover(pieces), Crew(Spoilt(workers, "0.intav", chatter), 2)))
    assert noisy == list(check_all(discover(pieces)))


def test_an_exception_from_elsewhere_is_an_internal_fault(pieces: tuple[Path, ...], workers: Workers) -> None:
    done = list(check_all(discover(pieces), Crew(Spoilt(workers, "0.intav", unheard_of), 2)))
    assert [finding.code.slug for finding in done[0].diagnostics] == ["internal-fault"]
    assert "RuntimeError: unheard of" in done[0].fault


def unheard_of() -> None:
    raise RuntimeError("unheard of")


# --- pools that fail ---------------------------------------------------------------------------------------


def test_a_broken_pool_is_a_finding_on_each_piece_it_lost(pieces: tuple[Path, ...]) -> None:
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        done = list(check_all(discover(pieces), Crew(Spoilt(pool, "0.intav", leave), 1)))
    assert [[finding.code.slug for finding in one.diagnostics] for one in done] == [["not-worked-on"]] * 3
    assert all("BrokenProcessPool" in one.diagnostics[0].message for one in done)


class Silent(Executor):
    """Never answers."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        return Future()


def test_an_executor_that_gives_no_answer(pieces: tuple[Path, ...]) -> None:
    done = list(check_all(discover(pieces), Crew(Silent(), 1, patience=0.01)))
    assert [[finding.code.slug for finding in one.diagnostics] for one in done] == [["not-worked-on"]] * 3


def test_pieces_are_read_only_a_little_ahead(pieces: tuple[Path, ...]) -> None:
    for number in range(20):
        Path(f"more{number:02d}.intav").write_text(PIECE.format(number, "8"), encoding="utf-8")
    with Counting() as asked:
        assert len(list(check_all(discover(pieces), Crew(asked, 2)))) == 23
    assert asked.most == 4


class Counting(Executor):
    """One thread, and how much waited for it at most."""

    def __init__(self) -> None:
        self.inner = ThreadPoolExecutor(1)
        self.waiting = self.most = 0

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        self.waiting += 1
        self.most = max(self.most, self.waiting)
        future = self.inner.submit(fn, *args, **kwargs)
        future.add_done_callback(self.one_less)
        return future

    def one_less(self, _: Future[Any]) -> None:
        self.waiting -= 1


def test_a_slow_first_piece_is_named_and_no_more_wait_for_it_than_may(
    pieces: tuple[Path, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("pipeline.folder.batch.run.MOST_WAITING", 12)
    monkeypatch.setattr("pipeline.folder.batch.run.TOLD", 5)
    for number in range(30):
        Path(f"more{number:02d}.intav").write_text(PIECE.format(number, "8"), encoding="utf-8")
    told: list[tuple[str, int]] = []
    with ThreadPoolExecutor(2) as pool:
        held = Holding(pool, "0.intav", released_after=12)
        done = list(check_all(discover(pieces), Crew(held, 2), lambda name, waiting: told.append((name, waiting))))
    assert [one.name for one in done] == [piece.name for piece in discover(pieces)]
    assert told == [("0.intav", 5), ("0.intav", 10)]
    assert held.before <= 12 + 2 * 2, "what is under way is added to what may wait"


class Holding(Executor):
    """Does one piece only when nothing else is left to do, or when so many others are done."""

    def __init__(self, inner: Executor, name: str, released_after: int) -> None:
        self.inner, self.name, self.most = inner, name, released_after
        self.others: list[Future[Any]] = []
        self.before = 0

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        if args[-1].name == self.name:
            return self.inner.submit(self._late, fn, *args)
        self.others.append(self.inner.submit(fn, *args, **kwargs))
        return self.others[-1]

    def _late(self, fn: Callable[..., Any], *args: Any) -> Any:
        for _ in range(600):
            if sum(other.done() for other in self.others) >= self.most:
                break
            time.sleep(0.02)
        time.sleep(0.3)  # whoever would go on without bound does so now
        self.before = len(self.others)
        return fn(*args)


# --- the same bytes everywhere -----------------------------------------------------------------------------


def build_elsewhere(program: Path, out: Path, here: Path, *arguments: str, **environment: str) -> None:
    env = {**os.environ, "PYTHONPATH": str(program), **environment}
    command = [sys.executable, "-m", "pipeline", "build", *arguments, "--out", str(out)]
    ran = subprocess.run(command, cwd=here, env=env, check=False, capture_output=True, text=True)
    assert (ran.returncode, ran.stderr) == (1, "")  # one of the pieces has an error


def test_the_same_bytes_under_other_circumstances(pieces: tuple[Path, ...], tmp_path: Path) -> None:
    book = tmp_path / "book"
    book.mkdir()
    (tmp_path / "heading.intav").write_text("longneck 1\npitch high\n", encoding="utf-8")  # a finding in a heading
    for name in ("0", "1", "2"):
        (tmp_path / f"{name}.intav").rename(book / f"{name}.intav")
    plain = tmp_path / "plain"
    program = tmp_path / "program"  # a copy: the runs must not see somebody at work on it
    shutil.copytree(ROOT / "pipeline", program / "pipeline", ignore=shutil.ignore_patterns("__pycache__"))
    build_elsewhere(program, plain, tmp_path, "book", "--jobs", "1")
    expected = contents(plain)
    assert len(expected) == 3 * len(list((plain / "book" / "0").iterdir())) + 2  # the index and its script
    for number, (here, arguments, environment) in enumerate(
        (
            (tmp_path, ("book", "--jobs", "2"), {"PYTHONHASHSEED": "1"}),
            (book, (".",), {"PYTHONHASHSEED": "2", "TZ": "Pacific/Kiritimati"}),
            (Path("/"), (str(book),), {"LC_ALL": "C", "LANG": "C", "PYTHONUTF8": "0"}),
            (book, ("../book/2.intav", str(book)), {"LC_ALL": "tr_TR.UTF-8", "LANGUAGE": "tr", "TZ": "UTC+11"}),
        )
    ):
        out = tmp_path / f"other{number}"
        build_elsewhere(program, out, here, *arguments, **environment)
        assert contents(out) == expected
        build_elsewhere(program, out, here, *arguments, **environment)  # and warm
        assert contents(out) == expected


def test_findings_are_shown_under_the_names_typed(pieces: tuple[Path, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    Path("book").mkdir()
    Path("heading.intav").write_text("longneck 1\npitch high\n", encoding="utf-8")
    Path("1.intav").rename("book/1.intav")
    monkeypatch.chdir("book")
    for _ in ("cold", "kept"):
        (done,) = build_all(discover([Path()]), Path("../out"), QUICK)
        assert [(found.span.file, found.span.line) for found in done.diagnostics] == [
            ("1.intav", 7),
            ("../heading.intav", 2),
        ]
        assert {source.name for source in done.sources} == {"../heading.intav", "1.intav"}
    stored = Path("../out/book/1/findings.json").read_text(encoding="utf-8")
    assert '"file": "heading.intav"' in stored and '"file": "book/1.intav"' in stored


def test_done_is_a_plain_record(pieces: tuple[Path, ...]) -> None:
    done = next(check_all(discover(pieces)))
    assert isinstance(done, Done) and done.written == ()
