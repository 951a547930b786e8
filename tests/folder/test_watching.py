"""Watching: what is built again and what is not, stamps last, broken pieces, names that change, bursts, Ctrl-C."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

import pipeline.folder.watching
from pipeline.folder.batch import Done
from pipeline.folder.watching import STAMP, Round, Watch, stamp_of
from pipeline.model.artefacts import Form
from pipeline.model.options import Options

ROOT = Path(__file__).parents[2]
PIECE = "longneck 1\ntitle {}\ninstrument theorbo in A\nmetre C\n\n| 2=7,4:0,3:0 4=3:2 3:3\n| 1=7,4:2 |||\n"
#: Nothing is drawn: what is watched, not what is built, is tried here.
QUICK = Options(copy=False, forms=(Form.EVENTS,))
#: Seconds that the slowest machine may take.
LONG = 120.0


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    for name in ("book/a", "book/b", "book/sub/c"):
        save(f"{name}.intav", PIECE.format(Path(name).name))


def save(name: str, text: str) -> None:
    """Write a file as some editors do: beside it, then renamed; the file has a new number each time."""
    path = Path(name)
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_name(f".{path.name}.swp")
    beside.write_text(text, encoding="utf-8")
    beside.replace(path)


def watch(*paths: str, meanwhile: list[Callable[[], None]] | None = None) -> Watch:
    """A watch that never waits; what is to happen where it would wait can be put into ``meanwhile``."""

    def sleep(_: float) -> None:
        if meanwhile:
            meanwhile.pop(0)()

    return Watch([Path(path) for path in paths or ("book",)], Path("out"), QUICK, sleep=sleep)


def built(found: Round | None) -> list[str]:
    """The pieces that were really built anew."""
    assert found is not None
    return [piece.name for piece in found.done if not piece.kept]


def started(*paths: str) -> Watch:
    made = watch(*paths)
    assert made.look() is not None
    return made


# --- what is built again ------------------------------------------------------------------------------------


def test_the_first_look_builds_everything_and_the_next_nothing() -> None:
    watched = watch()
    assert built(watched.look()) == ["book/a.intav", "book/b.intav", "book/sub/c.intav"]
    assert watched.look() is None


def test_what_an_earlier_run_built_is_kept() -> None:
    started()
    found = watch().look()
    assert built(found) == [] and found is not None and len(found.done) == 3


def test_only_the_piece_that_changed() -> None:
    watched = started()
    save("book/b.intav", PIECE.format("new"))
    assert built(watched.look()) == ["book/b.intav"]
    assert watched.look() is None


def test_an_editor_that_writes_in_place() -> None:
    watched = started()
    Path("book/b.intav").write_text(PIECE.format("in place"), encoding="utf-8")
    assert built(watched.look()) == ["book/b.intav"]


def test_a_file_saved_without_a_change_builds_nothing() -> None:
    watched = started()
    save("book/a.intav", PIECE.format("a"))
    assert built(watched.look()) == []


def test_a_heading_builds_what_inherits_it() -> None:
    watched = started()
    save("book/sub/heading.intav", "longneck 1\npitch 415\n")
    assert built(watched.look()) == ["book/sub/c.intav"]
    save("book/heading.intav", "longneck 1\ncomposer Nobody\n")
    assert built(watched.look()) == ["book/a.intav", "book/b.intav", "book/sub/c.intav"]
    Path("book/sub/heading.intav").unlink()
    assert built(watched.look()) == ["book/sub/c.intav"]


def test_a_heading_above_the_path_that_is_watched() -> None:
    watched = started("book/sub/c.intav")
    save("heading.intav", "longneck 1\ncomposer Nobody\n")
    assert built(watched.look()) == ["book/sub/c.intav"]


def test_a_notation_file_builds_the_piece_that_names_it() -> None:
    song = PIECE.replace("metre C\n", "metre C\nlayer v = Canto, clef C1, from canto.abc\n")
    save("book/b.intav", song.format("song"))
    watched = started()
    save("book/canto.abc", "X:1\nM:4/4\nL:1/4\nK:C\nc2 d e | f4 |]\n")
    assert built(watched.look()) == ["book/b.intav"]
    save("book/canto.abc", "X:1\nM:4/4\nL:1/4\nK:C\nc2 e e | f4 |]\n")
    assert built(watched.look()) == ["book/b.intav"]
    assert watched.look() is None


# --- pieces that come and go --------------------------------------------------------------------------------


def test_a_new_piece() -> None:
    watched = started()
    save("book/new/d.intav", PIECE.format("d"))
    assert built(watched.look()) == ["book/new/d.intav"]


def test_a_piece_that_is_renamed() -> None:
    watched = started()
    Path("book/a.intav").rename("book/z.intav")
    found = watched.look()
    assert built(found) == ["book/z.intav"] and found is not None and found.gone == ("book/a.intav",)
    save("book/z.intav", PIECE.format("again"))
    assert built(watched.look()) == ["book/z.intav"]


def test_the_path_itself_may_vanish_and_come_back() -> None:
    watched = started("book/a.intav")
    Path("book/a.intav").rename("elsewhere")
    found = watched.look()
    assert found is not None and found.gone == ("book/a.intav",) and found.remarks == ("there is no book/a.intav",)
    assert watched.look() is None
    save("book/a.intav", PIECE.format("back"))
    assert built(watched.look()) == ["book/a.intav"]


def test_a_folder_that_vanishes_while_it_is_read() -> None:
    watched = started()
    for name in ("book/sub/c.intav", "book/sub"):
        path = Path(name)
        path.rmdir() if path.is_dir() else path.unlink()
    found = watched.look()
    assert found is not None and found.gone == ("book/sub/c.intav",)


def test_two_pieces_of_one_place_are_not_built_over_each_other(tmp_path: Path) -> None:
    for folder in ("one", "two"):
        save(f"../{tmp_path.name}-{folder}/book/a.intav", PIECE.format(folder))
    paths = [f"../{tmp_path.name}-{folder}/book" for folder in ("one", "two")]
    found = watch(*paths).look()
    assert len(built(found)) == 1 and found is not None
    assert "is left out" in found.remarks[0]


# --- broken pieces ------------------------------------------------------------------------------------------


def test_a_broken_piece_is_told_and_the_watch_goes_on() -> None:
    watched = started()
    save("book/a.intav", PIECE.format("a").replace("7,4:2", "7:1,4:2"))
    found = watched.look()
    assert found is not None and [one.code.slug for one in found.done[0].diagnostics] == ["fretted-diapason"]
    Path("book/a.intav").write_bytes(b"\xff\xfe\x00")
    found = watched.look()
    assert found is not None and [one.code.slug for one in found.done[0].diagnostics] == ["not-utf8"]
    save("book/a.intav", PIECE.format("mended"))
    found = watched.look()
    assert built(found) == ["book/a.intav"] and found is not None and not found.done[0].diagnostics


def test_an_output_that_cannot_be_written_is_told() -> None:
    watched = started()
    stamp = Path("out/book/a") / STAMP
    stamp.unlink()
    stamp.mkdir()
    save("book/a.intav", PIECE.format("new"))
    found = watched.look()
    assert found is not None and "open pages cannot be notified" in found.remarks[0]


# --- bursts -------------------------------------------------------------------------------------------------


def test_a_burst_is_built_once_when_it_is_over() -> None:
    texts = [PIECE.format(f"take {number}") for number in range(5)]
    watched = watch(meanwhile=(meanwhile := []))
    watched.look()
    save("book/a.intav", texts[0])
    meanwhile += [lambda text=text: save("book/a.intav", text) for text in texts[1:]]
    assert built(watched.look()) == ["book/a.intav"] and not meanwhile
    assert "take 4" in Path("out/book/a/events.xml").read_text(encoding="utf-8")
    assert watched.look() is None


def test_a_file_that_never_rests_is_built_all_the_same() -> None:
    watched = watch(meanwhile=(meanwhile := []))
    watched.look()
    texts = iter(range(10_000))
    save("book/a.intav", PIECE.format("begun"))
    meanwhile += [lambda: save("book/a.intav", PIECE.format(next(texts)))] * 200
    assert built(watched.look()) == ["book/a.intav"] and len(meanwhile) > 100


def test_a_change_during_the_build_is_built_next(monkeypatch: pytest.MonkeyPatch) -> None:
    watched = started()
    build = pipeline.folder.watching.build_all

    def slow(*arguments: Any, **named: Any) -> Iterator[Done]:
        done = list(build(*arguments, **named))
        save("book/a.intav", PIECE.format("second"))
        return iter(done)

    monkeypatch.setattr(pipeline.folder.watching, "build_all", slow)
    save("book/a.intav", PIECE.format("first"))
    assert built(watched.look()) == ["book/a.intav"]
    monkeypatch.setattr(pipeline.folder.watching, "build_all", build)
    assert built(watched.look()) == ["book/a.intav"]
    assert "second" in Path("out/book/a/events.xml").read_text(encoding="utf-8")


# --- stamps -------------------------------------------------------------------------------------------------


def test_stamps_say_what_was_written_and_come_last(monkeypatch: pytest.MonkeyPatch) -> None:
    watched = started()
    stamp = Path("out/book/a") / STAMP
    first = stamp.read_text(encoding="utf-8")
    assert re.fullmatch(r'longneckStamp\("[0-9a-f]{32}"\);\n', first)
    beside = Path("out/book/b").stat().st_mtime_ns
    save("book/a.intav", PIECE.format("new"))
    at_the_time: list[str] = []
    write = pipeline.folder.watching.write_whole

    def note(path: Path, data: bytes) -> None:
        at_the_time.append(Path("out/book/a/events.xml").read_text(encoding="utf-8"))
        write(path, data)

    monkeypatch.setattr(pipeline.folder.watching, "write_whole", note)
    watched.look()
    assert stamp.read_text(encoding="utf-8") != first
    assert at_the_time and all("new" in text for text in at_the_time)
    assert Path("out/book/b").stat().st_mtime_ns == beside
    save("book/a.intav", PIECE.format("a"))
    watched.look()
    assert stamp.read_text(encoding="utf-8") == first


def test_a_stamp_depends_on_every_byte() -> None:
    Path("x").write_bytes(b"1")
    Path("y").write_bytes(b"2")
    one = stamp_of([Path("x"), Path("y")])
    Path("y").write_bytes(b"3")
    assert stamp_of([Path("x"), Path("y")]) != one


def test_the_page_of_all_pieces_lists_all_of_them_after_each_round() -> None:
    watched = Watch(
        [Path("book")], Path("out"), Options(copy=False, forms=(Form.PROOF,), live=True), sleep=lambda _: None
    )
    watched.look()
    first = Path("out/index.html").read_bytes(), Path("out", STAMP).read_bytes()
    save("book/b.intav", PIECE.format("Another title"))
    watched.look()
    page = Path("out/index.html").read_text(encoding="utf-8")
    assert [name for name in ("book/a/", "book/b/", "book/sub/c/") if name not in page] == []
    assert "Another title" in page and "longneckStamp" in page
    assert Path("out", STAMP).read_bytes() != first[1]
    Path("book/a.intav").unlink()
    watched.look()
    assert "book/a/" not in Path("out/index.html").read_text(encoding="utf-8")


# --- the command --------------------------------------------------------------------------------------------


def until(told: Callable[[], bool], process: subprocess.Popen[bytes]) -> None:
    end = time.monotonic() + LONG
    while not told():
        assert process.poll() is None and time.monotonic() < end
        time.sleep(0.02)


def test_the_command_from_start_to_ctrl_c() -> None:
    log = Path("log")
    with log.open("wb") as stream:
        process = subprocess.Popen(
            [sys.executable, "-m", "pipeline", "watch", "book/a.intav", "--out", "out", "--jobs", "1"],
            stdout=stream,
            stderr=stream,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )
        try:
            until(lambda: b"Watching." in log.read_bytes(), process)
            save("book/a.intav", PIECE.format("a").replace("7,4:2", "7:1,4:2"))
            until(lambda: b"fretted-diapason" in log.read_bytes(), process)
            save("book/a.intav", PIECE.format("a"))
            until(lambda: log.read_bytes().count(b"Built in") == 3, process)
            process.send_signal(signal.SIGINT)
            assert process.wait(LONG) == 0
        finally:
            process.kill()
            process.wait()
    shown = log.read_text(encoding="utf-8")
    assert "book/a.intav  1 error.\n    book/a.intav:7:5  error fretted-diapason  Course 7 is a diapason" in shown
    assert "Traceback" not in shown and "Aborted" not in shown


def test_paths_that_make_no_sense_are_refused() -> None:
    command = [sys.executable, "-m", "pipeline", "watch", "nothing", "--out", "out"]
    done = subprocess.run(command, capture_output=True, env={**os.environ, "PYTHONPATH": str(ROOT)}, check=False)
    assert done.returncode == 2 and b"there is no nothing" in done.stderr
