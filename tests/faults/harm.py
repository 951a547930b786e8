"""What can happen to a build: killed, out of room, forbidden to write, robbed of its source, run twice at once.

Each function does it to a small book in an empty folder and asserts that nothing is lost: every file that can be seen
is whole, and a plain run afterwards gives the bytes of a run that nothing happened to.
"""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
PIECE = "longneck 1\ntitle Piece {}\ninstrument theorbo in A\nmetre C\n\n| 2=7,4:0,3:0 4=3:2 3:3\n| 1=8,4:2,2:1 |||\n"
UNTIDY = PIECE.replace("| 2=7,4:0", "|   2=4:0,7")
COUNT = 6
#: Two of the pieces have a finding, which a kept build must repeat.
FAULTY = (1, 4)


class NoDiskError(Exception):
    """This machine lets nobody mount a small disk here."""


class Book:
    """A collection of a few short pieces, and runs of the program over it in processes of their own."""

    def __init__(self, folder: Path, *options: str) -> None:
        self.folder = folder
        self.options = options
        (folder / ".git").mkdir(parents=True)
        (folder / "book").mkdir()
        program = folder / "program"  # a copy: the runs must not see somebody at work on it
        shutil.copytree(ROOT / "pipeline", program / "pipeline", ignore=shutil.ignore_patterns("__pycache__"))
        self.environment = {**os.environ, "PYTHONPATH": str(program)}
        self.write("first")

    def write(self, state: str) -> None:
        """Every source, in one of its states."""
        for number in range(COUNT):
            text = PIECE.format(f"{number}, {state}")
            text = text.replace("8,4:2", "8:1,4:2") if number in FAULTY else text
            self.source(number).write_text(text, encoding="utf-8")

    def source(self, number: int) -> Path:
        return self.folder / "book" / f"{number}.intav"

    def start(self, out: Path, *more: str) -> subprocess.Popen[str]:
        """A build, in a session of its own, so that all its processes can be found."""
        command = [sys.executable, "-m", "pipeline", "build", "book", "--out", str(out), *self.options, *more]
        return subprocess.Popen(
            command,
            cwd=self.folder,
            env=self.environment,
            text=True,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            start_new_session=True,
        )

    def build(self, out: Path, *more: str) -> tuple[int, str, str]:
        """Exit code, standard output, standard error of a build that runs to its end."""
        process = self.start(out, *more)
        said, errors = process.communicate()
        return process.returncode, said, errors

    def clean(self, state: str) -> dict[str, bytes]:
        """What a run that nothing happens to makes of the sources in that state."""
        self.write(state)
        out = self.folder / f"clean-{state}"
        code, _, errors = self.build(out)
        assert (code, errors) == (1, ""), errors
        return seen(out)


def seen(out: Path) -> dict[str, bytes]:
    """Every file under a folder, hidden ones too."""
    return {file.relative_to(out).as_posix(): file.read_bytes() for file in out.rglob("*") if file.is_file()}


def assert_whole(out: Path, *states: dict[str, bytes]) -> None:
    """Every file that can be seen is one of those that whole runs make; hidden ones are unfinished. The page of all
    pieces tells what went wrong too, so it has more states than they have."""
    for name, data in seen(out).items():
        if name in ("index.html", "index.js"):
            assert data.endswith((b"</html>\n", b"]});\n")), "the page of all pieces is not whole"
        elif not Path(name).name.startswith("."):
            assert any(state.get(name) == data for state in states), f"{name} is no whole file"


def processes_of(session: int) -> list[int]:
    """What still runs of a session."""
    found = []
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            try:
                fields = (entry / "stat").read_text().rpartition(")")[2].split()
            except OSError:
                continue
            if fields[3] == str(session) and fields[0] != "Z":
                found.append(int(entry.name))
    return found


def killed(folder: Path, times: int, seed: int = 1) -> int:
    """Builds killed at random moments, ever and again into the same folder, while the sources change to and fro.
    Returns how many were killed before they were done."""
    rng = random.Random(seed)
    book = Book(folder, "--no-copy", "--only", "musicxml", "--only", "events")
    states = {state: book.clean(state) for state in ("first", "second")}
    start = time.perf_counter()
    book.build(folder / "trial")
    whole_run = time.perf_counter() - start
    out = folder / "out"
    cut = 0
    for number in range(times):
        state = ("first", "second")[number % 2]
        book.write(state)
        process = book.start(out)
        time.sleep(rng.uniform(0.1, 1.05) * whole_run)
        cut += process.poll() is None
        process.kill()
        process.communicate()
        if out.exists():
            assert_whole(out, *states.values())
        if number % 5 == 4:
            assert book.build(out)[0] == 1
            assert seen(out) == states[state]
        if number % 20 == 19:
            shutil.rmtree(out)
        _ends(process.pid)
    book.write("first")
    book.build(out)
    assert seen(out) == states["first"]
    return cut


def _ends(session: int) -> None:
    """Processes whose guard is gone end by themselves."""
    for _ in range(200):
        if not processes_of(session):
            return
        time.sleep(0.05)
    raise AssertionError("a process outlives its killed build")


def tidying_killed(folder: Path, times: int, seed: int = 1) -> None:
    """``tidy`` killed at random moments: every source is as it was or as it should be, with its permissions."""
    rng = random.Random(seed)
    book = Book(folder)
    for number in range(times):
        for piece in range(COUNT):
            book.source(piece).write_text(UNTIDY.format(piece), encoding="utf-8")
            book.source(piece).chmod(0o640)
        command = [sys.executable, "-m", "pipeline", "tidy", "book"]
        process = subprocess.Popen(command, cwd=folder, env=book.environment, stdout=subprocess.DEVNULL)
        if number:
            time.sleep(rng.uniform(0.1, 0.6))
            process.kill()
        process.wait()
        for piece in range(COUNT):
            text = book.source(piece).read_text(encoding="utf-8")
            assert text == PIECE.format(piece) or (number and text == UNTIDY.format(piece))
            assert book.source(piece).stat().st_mode & 0o777 == 0o640
    for piece in range(COUNT):
        book.source(piece).write_text(UNTIDY.format(piece), encoding="utf-8")
    subprocess.run(command, cwd=folder, env=book.environment, check=True, stdout=subprocess.DEVNULL)
    assert sorted(seen(folder / "book")) == [f"{piece}.intav" for piece in range(COUNT)], "a temporary is left"


@contextmanager
def small_disk(place: Path, size: str) -> Iterator[None]:
    """A file system in memory of that size. Raises NoDiskError where none may be mounted."""
    place.mkdir()
    mount("-t", "tmpfs", "-o", f"size={size}", "none", str(place))
    try:
        yield
    finally:
        subprocess.run(["umount", str(place)], check=True)


def mount(*arguments: str) -> None:
    """Raises NoDiskError if it may not be."""
    tool = shutil.which("mount")
    if tool is None or subprocess.run([tool, *arguments], check=False, capture_output=True).returncode:
        raise NoDiskError("no file system may be mounted here")


def full_disk(folder: Path) -> None:
    """A disk that fills up in the middle; then there is room again."""
    book = Book(folder)
    first, second = book.clean("first"), book.clean("second")
    size = sum(len(data) for data in second.values())
    out = folder / "disk" / "out"
    with small_disk(folder / "disk", str(size // 2)):
        code, said, errors = book.build(out)
        assert (code, errors) == (1, "")
        assert "error cannot-write" in said and "No space left on device" in said
        assert_whole(out, second)
        assert not [name for name in seen(out) if Path(name).name.startswith(".")], "a temporary is left"
        mount("-o", f"remount,size={size * 4}", str(folder / "disk"))
        assert book.build(out)[::2] == (1, "")
        assert seen(out) == second
        # Full again, with a whole edition there: pieces that find no room stay as they were.
        filler = folder / "disk" / "filler"
        with filler.open("wb", buffering=0) as stream, suppress(OSError):
            while True:
                stream.write(b"x" * 4096)
        book.write("first")
        code, said, _ = book.build(out)
        assert code == 1 and "No space left on device" in said
        assert_whole(out, first, second)
        for number in range(COUNT):
            piece = {name: data for name, data in seen(out).items() if name.startswith(f"book/{number}/")}
            assert any(piece.items() <= state.items() for state in (first, second)), "half old, half new"
        filler.unlink()
        assert book.build(out)[::2] == (1, "")
        assert seen(out) == first


def read_only(folder: Path) -> None:
    """A disk that may only be read: said of each piece, and nothing is touched."""
    book = Book(folder)
    first = book.clean("first")
    out = folder / "disk" / "out"
    with small_disk(folder / "disk", "32m"):
        book.build(out)
        book.write("second")
        mount("-o", "remount,ro", str(folder / "disk"))
        code, said, _ = book.build(out)
        assert code == 1
        assert said.count("error cannot-write") >= COUNT and "Read-only file system" in said
        assert seen(out) == first
        mount("-o", "remount,rw", str(folder / "disk"))
        book.write("first")
        assert book.build(out)[::2] == (1, "")
        assert seen(out) == first


def two_at_once(folder: Path, times: int = 1) -> None:
    """Two builds into one folder: one waits, says so, and both give what one gives."""
    book = Book(folder)
    clean = book.clean("first")
    for _ in range(times):
        out = folder / "out"
        both = [book.start(out), book.start(out)]
        said = [process.communicate() for process in both]
        assert [process.returncode for process in both] == [1, 1]
        assert said[0][0] == said[1][0]
        waiting = [errors for _, errors in said if errors]
        assert all("another build is writing into" in errors and errors.count("\n") == 1 for errors in waiting)
        assert seen(out) == clean
        shutil.rmtree(out)


def stopped_from_the_keyboard(folder: Path) -> None:
    """Ctrl-C: the run ends at once, with all its processes, and nothing is half done."""
    book = Book(folder)
    clean = book.clean("first")
    out = folder / "out"
    for wait in (0.4, 0.8, 1.2):
        process = book.start(out)
        time.sleep(wait)
        os.killpg(process.pid, signal.SIGINT)
        start = time.perf_counter()
        process.communicate()
        assert time.perf_counter() - start < 5
        _ends(process.pid)
        if out.exists():
            assert_whole(out, clean)
    assert book.build(out)[::2] == (1, "")
    assert seen(out) == clean
