"""``build --keep records``: nothing but hashes is kept, and they are those of the files that a whole build makes."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import pytest

from tests.cli.asked import run, write
from tests.sample import copy_of

PIECES = ("historical/04-first-notes", "theorbo/09-canzonetta")


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / ".git").mkdir()
    copy_of(PIECES, tmp_path / "book")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def names(folder: str) -> list[str]:
    return sorted(path.name for path in Path(folder).iterdir())


def test_records_name_the_files_that_a_whole_build_makes(here: Path) -> None:
    assert run("build", "book", "--out", "whole")[0] == run("build", "book", "--out", "light", "--keep", "records")[0]
    for piece in PIECES:
        assert names(f"light/book/{piece}") == ["build.json", "findings.json"]
        record = json.loads(Path(f"light/book/{piece}/build.json").read_bytes())
        files = {path.name: path for path in Path(f"whole/book/{piece}").iterdir() if path.name != "build.json"}
        assert record["artefacts"].keys() == files.keys()
        for name, path in files.items():
            assert record["artefacts"][name] == hashlib.sha256(path.read_bytes()).hexdigest()
    assert all(f"{piece.rpartition('/')[2]}" in Path("light/index.html").read_text("utf-8") for piece in PIECES)


def test_a_record_is_enough_to_pass_over_what_has_not_changed(here: Path) -> None:
    run("build", "book", "--out", "out", "--keep", "records")
    before = Path(f"out/book/{PIECES[0]}/build.json").stat().st_mtime_ns
    assert run("build", "book", "--out", "out", "--keep", "records")[0] == 0
    assert Path(f"out/book/{PIECES[0]}/build.json").stat().st_mtime_ns == before
    assert run("build", "book", "--out", "out")[0] == 0
    assert "edition.mei" in names(f"out/book/{PIECES[0]}"), "a build without the option makes the files again"
    assert run("build", "book", "--out", "out", "--keep", "records")[0] == 0
    assert names(f"out/book/{PIECES[0]}") == ["build.json", "findings.json"], "and one with it takes them away"


def test_verify_holds_a_new_build_against_the_hashes(here: Path) -> None:
    run("build", "book", "--out", "out", "--keep", "records")
    assert run("verify", "book", "--out", "out") == (0, "2 pieces, all unchanged.\n", "")
    piece = Path(f"book/{PIECES[1]}.intav")
    write(str(piece), piece.read_text("utf-8").replace("title ", "title A ", 1))
    code, out, _ = run("verify", "book", "--out", "out")
    assert code == 1 and "only the record is kept: what differs in the music cannot be said" in out
    assert "edition.mei" in out and "1 changed" in out
    assert run("verify", "book", "--out", "out", "--accept")[0] == 0
    assert names(f"out/book/{PIECES[1]}") == ["build.json", "findings.json"]
    assert run("verify", "book", "--out", "out")[0] == 0


def test_findings_that_were_spoiled_are_told(here: Path) -> None:
    run("build", "book", "--out", "out", "--keep", "records")
    write(f"out/book/{PIECES[0]}/findings.json", "{}")
    code, out, _ = run("verify", "book", "--out", "out")
    assert code != 0 and "findings.json" in out
