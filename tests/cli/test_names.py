"""Names of pieces that are unusual, or no names of pieces; stopping from the keyboard."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from lxml import html

from tests.cli.asked import passes, run, write

PIECE = "longneck 1\ntitle Piece\ninstrument theorbo in A\nmetre C\n\n| 2=7,4:0,3:0 4=3:2 3:3\n| 1=8,4:2,2:1 |||\n"


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / ".git").mkdir()
    return tmp_path


def test_names_that_are_no_utf_8_nor_safe_in_an_address(here: Path) -> None:
    """A folder named in Latin-1 by an older machine; signs with a meaning in HTML and in addresses."""
    odd = os.fsdecode(b"caf\xe9/mus\xff.intav")
    try:
        write(odd, PIECE)
    except OSError:
        pytest.skip("this file system takes no such names")
    write('"a" <b> & 100% #2?.intav', PIECE)
    assert passes("build", ".", "--report", "json=r.json")
    links = html.fromstring(Path("out/index.html").read_bytes()).xpath("//th/a/@href")
    assert links == ["%22a%22%20%3Cb%3E%20%26%20100%25%20%232%3F/proof.html", "caf%E9/mus%FF/proof.html"]
    assert run("verify", ".", "--out", "out", "--json", "v.json") == (0, "2 pieces, all unchanged.\n", "")


def test_a_name_that_looks_like_an_option(here: Path) -> None:
    write("-dash.intav", PIECE)
    command = [sys.executable, "-m", "pipeline", "check", "-dash.intav"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    said = "longneck: -dash.intav looks like an option; if it is a piece, type ./-dash.intav\n"
    assert (done.returncode, done.stdout, done.stderr) == (2, "", said)
    assert run("check", "./-dash.intav")[0] == 0


def test_what_is_no_piece(here: Path) -> None:
    write("heading.intav", "composer Anonymous\n")
    Path("gone.intav").symlink_to("nowhere.intav")
    assert run("build", "heading.intav") == (
        2,
        "",
        "longneck: heading.intav is not a piece: it is the heading that the pieces of its folder inherit\n",
    )
    assert run("build", "gone.intav") == (2, "", "longneck: gone.intav is a broken link\n")


def test_forms_may_be_typed_in_capitals(here: Path) -> None:
    write("1.intav", PIECE)
    assert run("build", "1.intav", "--only", "MusicXML", "--no-copy", "--paper", "A4", "--texture", "Full")[0] == 0
    assert Path("out/1/edition.musicxml").is_file()


def test_stopping_from_the_keyboard_is_said(here: Path) -> None:
    for number in range(60):
        write(f"{number}.intav", PIECE)
    command = [sys.executable, "-m", "pipeline", "build", "."]
    build = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    while not list(here.glob("out/*/build.json")):
        assert build.poll() is None
        time.sleep(0.02)
    build.send_signal(signal.SIGINT)
    _, err = build.communicate(timeout=60)
    assert (build.returncode, err) == (130, "longneck: stopped\n")
