"""Whoever listens, or does not, has no say in the work; and limits that the shell has set already."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from pipeline.folder.batch import Crew, Limits, check_all, memory
from pipeline.folder.batch.child import _limit
from pipeline.folder.batch.guard import Workers
from pipeline.folder.files import discover
from tests.cli.asked import write
from tests.folder.test_batch import PIECE, Spoilt, swell

GOOD, BAD = PIECE.format("Good", "8"), PIECE.format("Bad", "8:1")
LONGNECK = [sys.executable, "-m", "pipeline"]
SAID = "longneck: not everything could be printed: No space left on device\n"


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    return tmp_path


def longneck(
    *arguments: str, out: int | None = subprocess.PIPE, before: Callable[[], object] | None = None
) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*LONGNECK, *arguments], stdout=out, stderr=subprocess.PIPE, text=True, check=False, preexec_fn=before
    )


# --- standard output -----------------------------------------------------------------------------------------


def test_a_pipe_that_closes_stops_the_talk_and_not_the_work(here: Path) -> None:
    for number in range(24):
        write(f"{number:02d}.intav", BAD)
    read, written = os.pipe()
    command = [*LONGNECK, "build", ".", "--no-copy", "--only", "musicxml", "--only", "proof"]
    build = subprocess.Popen(command, stdout=written, stderr=subprocess.PIPE, text=True)
    os.close(written)
    os.close(read)  # nobody reads a single line
    _, err = build.communicate(timeout=240)
    assert (build.returncode, err) == (141, "")
    assert len(list(Path("out").glob("*/edition.musicxml"))) == 24 and Path("out/index.html").is_file()


def test_a_command_that_only_talks_ends_without_a_traceback(here: Path) -> None:
    explain = subprocess.Popen([*LONGNECK, "explain"], stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    assert explain.stdout is not None and explain.stderr is not None
    explain.stdout.close()
    assert (explain.wait(60), explain.stderr.read()) == (141, b"")
    explain.stderr.close()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no device that is always full")
@pytest.mark.parametrize(
    ("command", "code", "beside"),
    [(("explain",), 2, ""), (("check", "."), 1, ""), (("check", ".", "--report=json=-"), 1, "1 piece: 1 error.\n")],
)
def test_a_full_disk_behind_standard_output(here: Path, command: tuple[str, ...], code: int, beside: str) -> None:
    """What was found stays the exit code; where nothing was wrong, the output that is lost is."""
    write("a.intav", BAD)
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        done = longneck(*command, out=full.fileno())
    assert (done.returncode, done.stderr) == (code, f"{beside}{SAID}")


@pytest.mark.parametrize(("text", "code"), [(GOOD, 0), (BAD, 1)])
def test_without_standard_output_the_exit_code_tells(here: Path, text: str, code: int) -> None:
    write("a.intav", text)
    for command in (("check", "."), ("build", ".", "--only", "musicxml")):
        done = longneck(*command, out=None, before=lambda: os.close(1))
        assert (done.returncode, done.stderr) == (code, "")
    assert Path("out/a/edition.musicxml").read_bytes().startswith(b"<?xml")
    assert longneck("check", ".", out=None, before=lambda: [os.close(0), os.close(1), os.close(2)]).returncode == code


def test_a_report_cannot_go_to_a_closed_standard_output(here: Path) -> None:
    write("a.intav", GOOD)
    done = longneck("check", ".", "--report=json=-", out=None, before=lambda: os.close(1))
    assert (done.returncode, done.stderr) == (2, "longneck: standard output is closed; no report can go there\n")


# --- memory --------------------------------------------------------------------------------------------------


def _allow(megabytes: int) -> Callable[[], None]:
    """As ``ulimit -v`` does."""
    return lambda: resource.setrlimit(resource.RLIMIT_AS, (megabytes * 10**6, megabytes * 10**6))


def test_a_limit_of_the_shell_below_ours_holds_and_harms_no_piece(here: Path) -> None:
    write("a.intav", GOOD)
    done = longneck("build", ".", "--only", "svg", before=_allow(900))
    assert (done.returncode, done.stderr) == (0, "")


def test_a_limit_that_the_program_cannot_load_in_is_said_at_once(here: Path) -> None:
    write("a.intav", GOOD)
    done = longneck("check", ".", before=_allow(400))
    said = "longneck: this shell allows a program 400 MB of memory (ulimit -v); longneck needs 500 MB\n"
    assert (done.returncode, done.stdout, done.stderr) == (2, "", said)


def test_the_limit_that_held_is_the_one_that_is_said(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write("a.intav", GOOD)
    monkeypatch.setattr(resource, "getrlimit", lambda _: (900 * 10**6, resource.RLIM_INFINITY))
    assert (memory.within(2000), memory.within(600), memory.within(0)) == (900, 600, 900)
    with Workers(1, Limits(60, 2000)) as executor:
        (done,) = check_all(discover([Path()]), Crew(Spoilt(executor, "a.intav", swell), 1))
    assert [one.message for one in done.diagnostics] == ["The work was stopped: it needed more memory than 900 MB."]


def test_a_system_that_lets_nobody_set_limits(monkeypatch: pytest.MonkeyPatch) -> None:
    """macOS answers so for address space (read, not seen)."""

    def refuses(kind: int, limits: tuple[int, int]) -> None:
        raise ValueError("current limit exceeds maximum limit")

    monkeypatch.setattr(resource, "setrlimit", refuses)
    _limit(resource.RLIMIT_AS, 10**9)
