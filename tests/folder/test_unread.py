"""Never a green light over something unread: folders that are closed, things that are no files, links in circles."""

from __future__ import annotations

import json
import os
import socket
import stat
from collections.abc import Iterator
from pathlib import Path

import pytest

from pipeline.folder.batch import build_all
from pipeline.folder.files import NoSuchPieceError, discover, survey
from pipeline.model.artefacts import Form
from pipeline.model.options import Options
from tests.cli.asked import run, write
from tests.folder.plain import longneck, needs_permissions
from tests.folder.test_batch import PIECE, contents

GOOD = PIECE.format("Good", "8")
BAD = PIECE.format("Bad", "8:1")
QUICK = ("--only", "musicxml", "--no-copy")


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A collection with two folders, an error in the second; opened again at the end, so that it can be removed."""
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    write("a/y.intav", GOOD)
    write("b/x.intav", BAD)
    yield tmp_path
    for folder, names, _ in os.walk(tmp_path):
        for name in names:
            if not (Path(folder) / name).is_symlink():
                (Path(folder) / name).chmod(0o755)


# --- folders that are closed -------------------------------------------------------------------------------


@pytest.mark.parametrize("mode", [0, stat.S_IXUSR, stat.S_IRUSR])
def test_a_closed_folder_is_an_error_and_all_others_are_done(here: Path, mode: int) -> None:
    """Shut, or only to be entered, or only to be listed: in the last case each piece in it is an error."""
    needs_permissions(here)
    (here / "b").chmod(mode)
    for command in (("check", "."), ("build", ".", *QUICK)):
        done = longneck(*command, here=here)
        assert done.returncode == 1 and "Traceback" not in done.stderr
        first = "b/x.intav:1:1  error file-unreadable" if mode == stat.S_IRUSR else "b:1:1  error folder-unreadable"
        assert f"{first}  " in done.stdout and "Permission denied" in done.stdout
    assert (here / "out/a/y/edition.musicxml").is_file()


def test_a_closed_folder_is_an_error_in_every_report(here: Path) -> None:
    needs_permissions(here)
    (here / "b").chmod(0)
    forms = ("json", "sarif", "junit", "github", "markdown")
    asked = [f"--report={form}=r.{form}" for form in forms]
    done = longneck("check", ".", *asked, here=here)
    assert (done.returncode, done.stderr) == (1, "")
    for form in forms:
        assert "folder-unreadable" in Path(f"r.{form}").read_text(encoding="utf-8")
    report = json.loads(Path("r.json").read_bytes())
    assert (report["pieces"], report["counts"]["errors"]) == (1, 1)


@pytest.mark.parametrize("typed", ["b", "b/x.intav"])
def test_a_closed_path_that_is_typed(here: Path, typed: str) -> None:
    needs_permissions(here)
    (here / "b").chmod(0)
    done = longneck("check", "a", typed, here=here)
    assert done.returncode == 1 and "Permission denied" in done.stdout
    assert longneck("check", typed, here=here).returncode == 1


@pytest.mark.parametrize("mode", [0, stat.S_IXUSR, stat.S_IRUSR])
def test_nothing_under_a_closed_folder_is_ever_cleared(here: Path, mode: int) -> None:
    needs_permissions(here)
    write("b/deep/z.intav", GOOD)
    assert longneck("build", ".", *QUICK, here=here).returncode == 1
    before = contents(here / "out" / "b")
    (here / "b").chmod(mode)
    done = longneck("build", ".", "--clear-removed", *QUICK, here=here)
    assert done.returncode == 1 and "cleared" not in done.stdout and "Traceback" not in done.stderr
    after = {name: data for name, data in contents(here / "out" / "b").items() if "not-built" not in name}
    assert after == before
    done = longneck("verify", ".", "--out", "out", "--accept", here=here)
    assert done.returncode == 1 and "no longer exists" not in done.stdout and "Traceback" not in done.stderr
    (here / "b").chmod(0o755)
    (here / "b" / "x.intav").unlink()
    assert "out/b/x  cleared" in longneck("build", ".", "--clear-removed", *QUICK, here=here).stdout


def test_a_closed_folder_changes_no_baseline(here: Path) -> None:
    needs_permissions(here)
    assert longneck("check", ".", "--baseline", "known.json", "--write-baseline", here=here).returncode == 0
    known = Path("known.json").read_bytes()
    (here / "b").chmod(0)
    done = longneck("check", ".", "--baseline", "known.json", here=here)
    assert done.returncode == 1 and "no longer occur" not in done.stderr
    assert longneck("check", ".", "--baseline", "known.json", "--write-baseline", here=here).returncode == 1
    assert Path("known.json").read_bytes() == known


@pytest.mark.parametrize(
    ("command", "code"), [(("tidy", "--check", "."), 1), (("propose", "."), 1), (("programme", "."), 2)]
)
def test_other_commands_tell_of_a_closed_folder(here: Path, command: tuple[str, ...], code: int) -> None:
    needs_permissions(here)
    (here / "b").chmod(0)
    done = longneck(*command, here=here)
    assert done.returncode == code and "cannot be looked into: Permission denied" in done.stdout + done.stderr


def test_two_folders_are_compared_whole_or_not_at_all(here: Path) -> None:
    needs_permissions(here)
    write("a/deep/z.intav", GOOD)
    (here / "a/deep").chmod(0)
    done = longneck("compare", "a", "b", here=here)
    said = "longneck: a/deep cannot be looked into: Permission denied\n"
    assert (done.returncode, done.stdout, done.stderr) == (2, "", said)


def test_a_folder_that_vanishes_while_it_is_read_is_an_error(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    scan = os.scandir

    def vanishing(path: Path) -> object:
        if Path(path).name == "b":
            raise FileNotFoundError(2, "No such file or directory")
        return scan(path)

    monkeypatch.setattr(os, "scandir", vanishing)
    (unread,) = survey([Path()]).unread
    assert (unread.name, unread.reason) == ("b", "No such file or directory")
    with pytest.raises(NoSuchPieceError, match="b cannot be looked into: No such file or directory"):
        discover([Path()])


def test_a_heading_that_cannot_be_read_is_an_error_on_its_pieces(here: Path) -> None:
    needs_permissions(here)
    write("a/heading.intav", "longneck 1\n").chmod(0)
    done = longneck("check", "a", here=here)
    assert done.returncode == 1 and "a/heading.intav:1:1  error file-unreadable  Permission denied." in done.stdout
    Path("a/heading.intav").unlink()
    Path("a/heading.intav").symlink_to("nowhere")
    assert "a/heading.intav:1:1  error file-unreadable  No such file" in run("check", "a")[1]


# --- what is no file ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["pipe.intav", "heading.intav"])
def test_a_named_pipe_does_not_hang_a_run(here: Path, name: str) -> None:
    os.mkfifo(here / "a" / name)
    for command in (("check", "a"), ("build", "a", *QUICK), ("tidy", "--check", "a"), ("propose", "a")):
        done = longneck(*command, here=here, timeout=30)
        assert done.returncode == 1
        assert f"a/{name}:1:1  error file-unreadable  It is a named pipe, not a file." in done.stdout


def test_a_named_pipe_among_the_editions_does_not_hang_a_build(here: Path) -> None:
    Path("b/x.intav").write_text(GOOD, encoding="utf-8")
    (clean, _) = build_all(discover([Path("a"), Path("b")]), Path("out"), Options(copy=False, forms=(Form.MUSICXML,)))
    for name in ("build.json", "edition.musicxml"):
        (here / "out/a/y" / name).unlink()
        os.mkfifo(here / "out/a/y" / name)
        for command in (("build", ".", *QUICK), ("verify", ".", "--out", "out"), ("build", ".", *QUICK)):
            longneck(*command, here=here, timeout=30)
        assert sorted(clean.written) == sorted(path for path in clean.written if (here / path).is_file())


def test_a_device_and_a_socket_are_no_files(here: Path) -> None:
    with socket.socket(socket.AF_UNIX) as there:
        there.bind("a/socket.intav")
        code, out, _ = run("check", "a")
    assert code == 1 and "a/socket.intav:1:1  error file-unreadable  It is a socket, not a file." in out
    Path("zero.intav").symlink_to("/dev/zero")
    code, out, _ = run("check", "zero.intav")
    assert code == 1 and "It is a device, not a file." in out


# --- links -------------------------------------------------------------------------------------------------


def test_links_in_circles_end_and_are_told(here: Path) -> None:
    Path("a/round.intav").symlink_to("round.intav")
    Path("a/up").symlink_to("..")
    code, out, err = run("check", ".")
    assert code == 1 and "a/round.intav:1:1  error file-unreadable  Too many levels" in out
    assert err == "", "what lies behind a/up is read where it stands"


def test_a_link_to_a_folder_elsewhere_is_not_passed_over_in_silence(
    here: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    Path("a/more").symlink_to(tmp_path_factory.mktemp("elsewhere"))
    Path("a/part").symlink_to("../b")
    _, _, err = run("check", "a")
    assert err.splitlines() == [
        "longneck: a/more is a link to another folder, which is not looked into",
        "longneck: a/part is a link to another folder, which is not looked into",
    ]
    assert "a/part" not in run("check", ".")[2]


def test_a_link_with_the_name_of_a_piece_to_a_folder_is_an_error(here: Path) -> None:
    Path("a/link.intav").symlink_to("../b")
    code, out, _ = run("check", "a")
    assert code == 1 and "error file-unreadable  It is a folder, not a file." in out
