"""The index in pages: divided by names alone, so that the same pieces make the same bytes, however it came about."""

from __future__ import annotations

import json
import random
from collections.abc import Sequence
from pathlib import Path

import pytest
from lxml import html

from pipeline.desk.proof.record import ListedFolder, ListedPiece, Listing
from pipeline.folder.batch.index import write_index_of
from pipeline.folder.batch.index.dividing import in_order, pages_of
from pipeline.folder.batch.index.renewing import NoListingError, renewed
from pipeline.folder.batch.index.store import Store, listing_of, script_of

#: Names that begin one another, that sort otherwise with a slash behind them, and that no address may hold as they are.
NAMES = ("a", "ab", "ab-c", "ab c", "abc", "b", "ba", "é", "#1", "A", "a.b", "\udcff")


@pytest.fixture(autouse=True)
def _short(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("pipeline.folder.batch.index.dividing.MOST", 4)
    monkeypatch.setattr("os.fsync", lambda handle: None)  # a thousand pages; that they are safe is not asked here


def listed(folder: str, errors: int = 0) -> ListedPiece:
    return ListedPiece(f"{folder}.intav", f"Piece {folder!r}", folder, errors, 1, 2, ("proof.html", "findings.json"))


def sorted_pieces(pieces: Sequence[ListedPiece]) -> list[ListedPiece]:
    return [one for one in in_order(pieces) if isinstance(one, ListedPiece)]


def some_pieces(rng: random.Random, count: int) -> list[ListedPiece]:
    folders = {"/".join(rng.choice(NAMES) for _ in range(rng.randrange(1, 4))) for _ in range(count)}
    return sorted_pieces([listed(folder, rng.randrange(2)) for folder in folders])


def files(out: Path) -> dict[str, bytes]:
    return {path.relative_to(out).as_posix(): path.read_bytes() for path in out.rglob("*") if path.is_file()}


def renew(store: Store, pieces: Sequence[ListedPiece]) -> None:
    for page in renewed(store.read, "", pieces):
        store.write(page)
    store.clear(all_written=False)


@pytest.mark.parametrize("seed", range(12))
def test_a_few_pieces_at_a_time_make_what_all_at_once_make(tmp_path: Path, seed: int) -> None:
    rng = random.Random(seed)
    pieces = some_pieces(rng, rng.randrange(1, 120))
    first = sorted_pieces(rng.sample(pieces, rng.randrange(len(pieces)) or 1))
    write_index_of([listed(one.folder, 7) for one in first], tmp_path / "one")
    left = list(pieces)
    rng.shuffle(left)
    while left:
        some, left = left[:5], left[5:]
        renew(Store(tmp_path / "one"), sorted_pieces(some))
    write_index_of(pieces, tmp_path / "two")
    assert files(tmp_path / "one") == files(tmp_path / "two")


@pytest.mark.parametrize("seed", range(12))
def test_of_pieces_that_are_gone_no_page_is_left(tmp_path: Path, seed: int) -> None:
    rng = random.Random(seed)
    pieces = some_pieces(rng, 100)
    write_index_of(pieces, tmp_path / "one")
    few = [one for one in pieces if rng.random() < 0.3] or pieces[:1]
    write_index_of(few, tmp_path / "one")
    write_index_of(few, tmp_path / "two")
    assert files(tmp_path / "one") == files(tmp_path / "two")


@pytest.mark.parametrize("seed", range(10))
def test_every_piece_stands_on_one_page_and_every_link_leads_somewhere(tmp_path: Path, seed: int) -> None:
    pieces = some_pieces(random.Random(seed), 100)
    write_index_of(pieces, tmp_path)
    found: list[str] = []
    for path in tmp_path.rglob("index*.html"):
        page = html.fromstring(path.read_bytes())
        found += page.xpath("//th/code/text()")
        own = [one for one in page.xpath("//@href") if one.endswith("index.html") or one.startswith("index-")]
        assert all((path.parent / one).is_file() for one in own if "%" not in one)
        assert len(page.xpath("//tbody/tr")) <= max(4, len(NAMES) + 1)  # or one row for each first sign
    assert sorted(found) == sorted(one.name.replace("\udcff", "\ufffd") for one in pieces)


def test_counts_are_those_of_all_that_lies_below() -> None:
    *_, top = pages_of("", sorted_pieces([listed(f"{folder}/{n}", errors=n) for folder in "xy" for n in range(9)]))
    assert [(one.folder, one.counts.pieces, one.counts.errors) for one in top.entries] == [("x", 9, 36), ("y", 9, 36)]
    assert all(isinstance(one, ListedFolder) for one in top.entries) and top.counts.notes == 36


@pytest.mark.parametrize("seed", range(10))
def test_a_page_is_read_back_as_it_was_written(seed: int) -> None:
    for page in pages_of("", some_pieces(random.Random(seed), 60)):
        assert listing_of(script_of(page)) == (page, False)


def test_what_is_no_page_of_ours_is_not_believed() -> None:
    good = script_of(Listing("", entries=(listed("a"),), whole=True))
    body = json.loads(good[len("longneckListed(") : -len(");\n")])
    for bad in (
        b"",
        good[:-1],
        good.replace(b"form", b"from"),
        good.replace(b": 2,", b": 9,", 1),
        b"longneckListed(1);\n",
    ):
        with pytest.raises(NoListingError):
            listing_of(bad)
    assert body["pieces"][0][0] == "a"
    for wrong in ("..", "../a", "/a", "a/../../b", "", "a//b", "a\0", 1):
        body["pieces"][0][0] = wrong
        with pytest.raises(NoListingError):
            listing_of(b"longneckListed(" + json.dumps(body).encode() + b");\n")
    body["pieces"][0][:3] = ["a", None, 0]
    with pytest.raises(NoListingError):
        listing_of(b"longneckListed(" + json.dumps(body).encode() + b");\n")
    body["pieces"], body["parts"] = [], [["a", "../../index", 1, 0, 0, 0]]
    with pytest.raises(NoListingError):
        listing_of(b"longneckListed(" + json.dumps(body).encode() + b");\n")


def test_a_page_of_another_folder_is_not_believed(tmp_path: Path) -> None:
    write_index_of(sorted_pieces([listed(f"{folder}/{n}") for folder in "xy" for n in range(9)]), tmp_path)
    (tmp_path / "x/index.js").write_bytes((tmp_path / "y/index.js").read_bytes())
    with pytest.raises(NoListingError):
        list(renewed(Store(tmp_path).read, "", [listed("x/1")]))


def test_a_link_leads_no_page_elsewhere(tmp_path: Path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "out/x").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(OSError, match="a link leads out of the folder"):
        write_index_of(sorted_pieces([listed(f"x/{n}") for n in range(9)]), tmp_path / "out")
    assert list((tmp_path / "elsewhere").iterdir()) == []


def test_a_page_that_a_person_made_stays(tmp_path: Path) -> None:
    write_index_of(sorted_pieces([listed(f"x/{n}") for n in range(9)]), tmp_path)
    (tmp_path / "x/index.js").write_text("alert('mine')", encoding="utf-8")
    (tmp_path / "x/index.html").write_text("mine", encoding="utf-8")
    write_index_of([listed("a")], tmp_path)
    assert (tmp_path / "x/index.html").read_text(encoding="utf-8") == "mine"


def test_one_piece_of_many_touches_a_few_short_pages(monkeypatch: pytest.MonkeyPatch) -> None:
    """Counted, not timed: of 30,000 pieces in a flat folder and a deep one, what one of them reads and writes."""
    monkeypatch.setattr("pipeline.folder.batch.index.dividing.MOST", 200)
    every = sorted_pieces([listed(f"{'flat' if n % 2 else f'deep/{n % 90:02d}'}/{n:06d}") for n in range(30000)])
    pages = {(page.folder, page.part.page if page.part else "index"): page for page in pages_of("", every)}
    read: list[Listing] = []

    def seen(folder: str, name: str) -> Listing:
        read.append(pages[folder, name])
        return read[-1]

    for folder in ("flat/000501", "deep/08/000098", "flat/new", "deep/new/one"):
        read.clear()
        written = list(renewed(seen, "", [listed(folder, 1)]))
        assert len(read) <= 5 and len(written) <= 4, folder
        assert sum(len(page.entries) + len(page.parts) for page in (*read, *written)) < 1000
        assert written[-1].folder == "" and written[-1].counts.errors == 1
