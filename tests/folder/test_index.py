"""The page of all pieces: written behind the last piece, with all of them, and found from each."""

from __future__ import annotations

from pathlib import Path

import pytest

from pipeline.folder.batch import build_all
from pipeline.folder.files import discover
from pipeline.model.artefacts import USUAL, Form
from pipeline.model.options import Options

ONLY = Options(copy=False, forms=(Form.PROOF,))
UNPROVED = tuple(form for form in USUAL if form is not Form.PROOF)
PIECE = "longneck 1\ntitle {}\ninstrument theorbo in A\nmetre C\n\n| 1={} |||\n"


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / ".git").mkdir()
    (tmp_path / "book" / "part").mkdir(parents=True)
    (tmp_path / "a.intav").write_text(PIECE.format("One", "7,4:0,3:0"), encoding="utf-8")
    (tmp_path / "book" / "part" / "b.intav").write_text(PIECE.format("Two", "8:1,4:2"), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_all_pieces_are_on_it_and_lead_back(here: Path) -> None:
    done = list(build_all(discover([here]), here / "out", ONLY))
    assert [one.title for one in done] == ["One", "Two"]
    page = (here / "out" / "index.html").read_text(encoding="utf-8")
    assert 'href="a/proof.html">One' in page and 'href="book/part/b/proof.html">Two' in page
    assert "2 pieces, 1 error, 0 warnings" in page
    assert 'href="../index.html"' in (here / "out" / "a" / "proof.html").read_text(encoding="utf-8")
    assert 'href="../../../index.html"' in (here / "out/book/part/b/proof.html").read_text(encoding="utf-8")


def test_pieces_that_are_kept_are_on_it_too(here: Path) -> None:
    list(build_all(discover([here]), here / "out", ONLY))
    before = (here / "out" / "index.html").read_bytes()
    (here / "out" / "index.html").unlink()
    assert all(one.kept for one in build_all(discover([here]), here / "out", ONLY))
    assert (here / "out" / "index.html").read_bytes() == before


def test_another_depth_is_another_page(here: Path) -> None:
    """The way up is part of what a page is made from: the same piece in another place is built again."""
    piece = discover([here / "a.intav"])
    list(build_all(piece, here / "out", ONLY))
    moved = here / "elsewhere" / "deep"
    (moved / "x").mkdir(parents=True)
    (here / "out" / "a").rename(moved / "x" / "a")
    (one,) = build_all([type(piece[0])(piece[0].path, piece[0].name, Path("x/a"))], moved, ONLY)
    assert not one.kept
    assert 'href="../../index.html"' in (moved / "x" / "a" / "proof.html").read_text(encoding="utf-8")


def test_one_that_cannot_be_written_is_told_with_the_last_piece(here: Path) -> None:
    (here / "out" / "index.html").mkdir(parents=True)
    done = list(build_all(discover([here]), here / "out", ONLY))
    assert [[found.code.slug for found in one.diagnostics] for one in done] == [
        [],
        ["fretted-diapason", "cannot-write"],
    ]


@pytest.mark.parametrize("options", [Options(copy=False, forms=(Form.MUSICXML,)), Options(copy=False, forms=UNPROVED)])
def test_none_without_proof_pages(here: Path, options: Options) -> None:
    list(build_all(discover([here]), here / "out", options))
    assert not (here / "out" / "index.html").exists()


def test_one_piece_of_many_reads_no_other_and_the_index_is_the_same(
    here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is asked costs what it is: of the other editions no record is read, but only pages of the index."""
    monkeypatch.setattr("pipeline.folder.batch.index.dividing.MOST", 3)
    for number in range(12):
        (here / "book" / f"{number:02d}.intav").write_text(PIECE.format(number, "7,4:0,3:0"), encoding="utf-8")
    list(build_all(discover([here]), here / "out", ONLY))
    changed = here / "book" / "07.intav"
    changed.write_text(PIECE.format("Changed", "8:1,4:2"), encoding="utf-8")
    with monkeypatch.context() as patch:
        patch.setattr("pipeline.folder.batch.index.recorded", lambda out: pytest.fail("it looks at every edition"))
        (one,) = build_all(discover([changed]), here / "out", ONLY)
    assert one.title == "Changed" and not one.kept
    pages = {path.relative_to(here / "out"): path.read_bytes() for path in (here / "out").rglob("index*")}
    assert any(b"Changed" in page for page in pages.values())
    assert b"14 pieces, 2 errors" in pages[Path("index.html")]
    list(build_all(discover([here]), here / "clean", ONLY))
    assert pages == {path.relative_to(here / "clean"): path.read_bytes() for path in (here / "clean").rglob("index*")}


def test_after_a_run_that_was_stopped_every_edition_is_looked_at_again(here: Path) -> None:
    """A page that does not know of an edition is never believed."""
    for number in range(30):
        (here / f"{number:02d}.intav").write_text(PIECE.format(number, "7,4:0,3:0"), encoding="utf-8")
    list(build_all(discover([here]), here / "out", ONLY))
    for name in ("03", "04"):
        (here / f"{name}.intav").write_text(PIECE.format(f"New {name}", "7,4:0,3:0"), encoding="utf-8")
    stopped = build_all(discover([here]), here / "out", ONLY)
    for _ in range(8):
        next(stopped)
    stopped.close()
    list(build_all(discover([here / "20.intav"]), here / "out", ONLY))
    page = (here / "out" / "index.html").read_text(encoding="utf-8")
    assert "New 03" in page and "New 04" in page
