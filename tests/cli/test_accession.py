"""``longneck accession``: what it writes, lists, refuses; exit codes."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pytest

from tests.cli.asked import run as asked
from tests.cli.asked import write
from tests.source.exchange.documents import fret, group, mei, musicxml

run = partial(asked, "accession")
PRELUDE = mei(group((1, 0)) + group((1, 2), sign=False))
TEXT = """\
longneck 1
title Piece
instrument lute in G, 6 courses
signs italian
metre 2/2

| 2=1:0 1:2
"""


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)


def test_a_text_that_checks_clean() -> None:
    write("prelude.mei", PRELUDE)
    assert run("prelude.mei", "--out", "book") == (0, "book/prelude.intav  written from prelude.mei: 1 bar\n", "")
    assert Path("book/prelude.intav").read_text(encoding="utf-8") == TEXT
    assert asked("tidy", "--check", "book") == (0, "", "")
    code, out, _ = asked("check", "book")
    assert code == 0
    assert "error" not in out


def test_a_folder_keeps_its_order_and_one_bad_file_stops_no_other() -> None:
    write("old/more/prelude.mei", PRELUDE)
    write("old/more/broken.musicxml", musicxml(fret(1, 0, ("G", 4)))[:300])
    write("old/song.musicxml", musicxml(fret(1, 0, ("G", 4)) * 2))
    code, out, err = run("old", "--out", "book")
    assert (code, err) == (1, "")
    assert "old/more/broken.musicxml:1:1  error exchange-file-broken" in out
    assert sorted(path.as_posix() for path in Path("book").rglob("*.intav")) == [
        "book/more/prelude.intav",
        "book/song.intav",
    ]


def test_two_files_of_one_name_have_two_texts() -> None:
    write("old/a.mei", PRELUDE)
    write("old/a.musicxml", musicxml(fret(1, 0, ("G", 4)) * 2))
    assert run("old", "--out", "book")[0] == 0
    assert sorted(path.name for path in Path("book").iterdir()) == ["a-mei.intav", "a-musicxml.intav"]


def test_another_text_is_replaced_on_request_only() -> None:
    write("prelude.mei", PRELUDE)
    write("book/prelude.intav", "longneck 1\n")
    code, out, err = run("prelude.mei", "--out", "book")
    assert (code, out) == (1, "")
    assert err == "longneck: book/prelude.intav holds another text; --replace replaces it\n"
    assert Path("book/prelude.intav").read_text(encoding="utf-8") == "longneck 1\n"
    assert run("prelude.mei", "--out", "book", "--replace")[0] == 0
    assert Path("book/prelude.intav").read_text(encoding="utf-8") == TEXT
    assert run("prelude.mei", "--out", "book")[0] == 0  # the same text is no other


@pytest.mark.parametrize("line", ["values 1:2", "stems plain = 4", "lines 5"])
def test_a_heading_that_would_change_the_text_is_an_error(line: str) -> None:
    write("prelude.mei", PRELUDE)
    write("book/heading.intav", f"longneck 1\n{line}\n")
    code, out, _ = run("prelude.mei", "--out", "book")
    assert code == 1
    assert "changed-by-heading" in out
    assert not Path("book/prelude.intav").exists()


def test_what_makes_no_sense_is_refused() -> None:
    write("prelude.mei", PRELUDE)
    Path("empty").mkdir()
    assert run("empty", "--out", "book")[0] == 2
    assert run("nowhere.mei", "--out", "book")[0] == 2
    assert run("prelude.mei", "--out", "prelude.mei")[0] == 2
