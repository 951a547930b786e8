"""Names that cannot all have their folders: told with a hint that helps, and whatever order they are built in."""

from __future__ import annotations

import shutil
import subprocess
import unicodedata
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future
from pathlib import Path
from typing import Any

import pytest

from pipeline.folder.batch import Crew, build_all
from pipeline.folder.batch.clashes import clashes, tells_apart
from pipeline.folder.files import discover
from pipeline.model.artefacts import Form
from pipeline.model.options import Options
from tests.cli.asked import passes, run, write
from tests.folder.test_batch import PIECE

GOOD = PIECE.format("Good", "8")
QUICK = Options(copy=False, forms=(Form.MEI, Form.PROOF))
HINT = "Give the piece, or the folder that it lies in, another name."


class LastFirst(Executor):
    """Waits until so many pieces are asked for, and does the last one first."""

    def __init__(self, count: int) -> None:
        self.count = count
        self.waiting: list[tuple[Future[Any], Callable[[], Any]]] = []

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        future: Future[Any] = Future()
        self.waiting.append((future, lambda: fn(*args, **kwargs)))
        if len(self.waiting) == self.count:
            for waiting, work in reversed(self.waiting):
                waiting.set_result(work())
            self.waiting.clear()
        return future


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_a_piece_with_the_name_of_the_page_of_all_pieces(here: Path) -> None:
    write("index.html.intav", GOOD)
    write("other.intav", GOOD)
    for _ in range(2):
        code, out, _ = run("build", ".", "--only", "proof", "--no-copy")
        said = "out/index.html cannot be a folder: the page of all pieces has a file of that name."
        assert code == 1
        assert out.startswith(f"index.html.intav:1:1  error cannot-write  The edition cannot be written: {said}")
        assert HINT in out and Path("out/index.html").is_file()
    Path("index.html.intav").rename("index.intav")
    assert passes("build", ".", "--only", "proof", "--no-copy")


@pytest.mark.parametrize("name", ["index.js", "book/index.html", "book/index-0123456789ab.js/deep"])
def test_a_piece_with_the_name_of_a_page_of_the_index(here: Path, name: str) -> None:
    write(f"{name}.intav", GOOD)
    write("other.intav", GOOD)
    code, out, _ = run("build", ".", "--only", "musicxml")
    assert code == 1 and out.count("error cannot-write") == 1 and "the index has a file of that name." in out
    assert Path("out/other/edition.musicxml").is_file()


@pytest.mark.parametrize("inner", ["sub/edition.mei/x.intav", "sub/edition.mei.intav", "sub/build.json/deep/x.intav"])
def test_a_piece_in_a_folder_where_another_edition_has_a_file(here: Path, inner: str) -> None:
    """The same whoever is done first."""
    write("sub.intav", GOOD)
    write(inner, GOOD)
    write("z.intav", GOOD)
    for crew in (None, Crew(LastFirst(2), 2)):
        shutil.rmtree("out", ignore_errors=True)
        done = list(build_all(discover([Path()]), Path("out"), QUICK, crew))
        told = {one.name: [found.message for found in one.diagnostics] for one in done}
        assert told["sub.intav"] == told["z.intav"] == []
        (message,) = told[inner]
        assert message.endswith(": the edition of sub.intav has a file of that name.")
        assert Path("out/sub/edition.mei").is_file() and Path("out/z/edition.mei").is_file()


def test_what_an_earlier_build_left_in_the_way_is_named(here: Path) -> None:
    write("sub/edition.mei/x.intav", GOOD)
    assert passes("build", ".", "--only", "mei", "--no-copy", "--no-proof")
    write("sub.intav", GOOD)
    _, out, _ = run("build", "sub.intav", "--only", "mei", "--no-copy", "--no-proof")
    assert "out/sub cannot be written: Is a directory (edition.mei)." in out
    assert "If an earlier build made it, remove it." in out


def test_names_of_two_hundred_and_fifty_five_bytes(here: Path) -> None:
    """As long as common file systems allow."""
    for name in ("x" * 249, "é" * 124 + "x"):
        write(f"{name}.intav", GOOD.replace("4:0,3:0", "4:0,3:0   "))
        assert len(f"{name}.intav".encode()) == 255
        code, out, err = run("tidy", f"{name}.intav")
        assert (code, out, err) == (0, f"{name}.intav  tidied\n", "")
        assert passes("build", f"{name}.intav", "--only", "musicxml", "--no-copy")
    assert sorted(path.name[:3] for path in here.iterdir()) == [".gi", "out", "xxx", "ééé"], "no temporary is left"


# --- disks that take two names for one ---------------------------------------------------------------------

NFC, NFD = (unicodedata.normalize(form, "Prélude") for form in ("NFC", "NFD"))
PAIRS = [("Aria.intav", "aria.intav"), (f"{NFC}.intav", f"{NFD}.intav"), ("Book/1.intav", "book/1.intav")]


@pytest.mark.parametrize("names", PAIRS)
def test_names_that_a_disk_takes_for_one(here: Path, names: tuple[str, str]) -> None:
    for name in names:
        write(name, GOOD)
    pieces = discover([Path()])
    if len(pieces) < 2:
        pytest.skip("the disk of this test takes them for one already")
    assert clashes(pieces, Path("out"), lambda *_: True) == {} == clashes(pieces, Path("out"))
    ((place, finding),) = clashes(pieces, Path("out"), lambda *_: False).items()
    assert place == pieces[1].place and pieces[0].name in finding.message and finding.hint == HINT


@pytest.fixture
def folding(tmp_path: Path) -> Iterator[Path]:
    """A disk that takes capitals and small letters, and both forms of an accent, for one (ext4 or tmpfs of Linux)."""
    disk, image = tmp_path / "disk", tmp_path / "image"
    disk.mkdir()
    with image.open("wb") as file:
        file.truncate(8 * 2**20)
    made = subprocess.run(["mkfs.ext4", "-q", "-O", "casefold", str(image)], capture_output=True, check=False)
    mounted = subprocess.run(["mount", "-o", "loop", str(image), str(disk)], capture_output=True, check=False)
    if made.returncode or mounted.returncode:
        mounted = subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "casefold,size=8m", "tmpfs", str(disk)], capture_output=True, check=False
        )
    if mounted.returncode:
        pytest.skip(f"no such disk can be had here: {mounted.stderr.decode().strip()}")
    try:
        (disk / "out").mkdir()
        if subprocess.run(["chattr", "+F", str(disk / "out")], capture_output=True, check=False).returncode:
            pytest.skip("no folder of such a kind can be had here")
        yield disk / "out"
    finally:
        subprocess.run(["umount", str(disk)], check=True)


def test_on_such_a_disk_no_edition_is_overwritten(here: Path, folding: Path) -> None:
    write("Aria.intav", PIECE.format("Capital", "8"))
    write("aria.intav", PIECE.format("Small", "8"))
    assert not tells_apart(folding, "Aria", "aria") and not tells_apart(folding, NFC, NFD)
    done = list(build_all(discover([Path()]), folding, QUICK))
    assert [[found.code.slug for found in one.diagnostics] for one in done] == [[], ["cannot-write"]]
    assert b"Capital" in (folding / "Aria/edition.mei").read_bytes()
