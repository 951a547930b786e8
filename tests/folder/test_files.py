"""Files: found in order, read or refused, headings inherited, written whole or not at all."""

from __future__ import annotations

import os
import threading
from pathlib import Path

import pytest

from pipeline.folder import files
from pipeline.folder.files import (
    NoSuchPieceError,
    PieceFile,
    clear_leftovers,
    collection_name,
    decoded,
    discover,
    headings_above,
    read_file,
    read_raw,
    sole_writer,
    write_artefacts,
    write_whole,
)


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty collection, and the current folder in it."""
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    return tmp_path


def _touch(*names: str) -> None:
    for name in names:
        Path(name).parent.mkdir(parents=True, exist_ok=True)
        Path(name).write_text("longneck 1\n", encoding="utf-8")


# --- finding -------------------------------------------------------------------------------------------


def test_pieces_are_found_in_sorted_order_each_once(here: Path) -> None:
    _touch("b/2.intav", "b/1.intav", "a.intav", "b/heading.intav", "b/readme.txt", "b/.hidden/x.intav", "b/.x.intav")
    found = discover([Path("b"), Path("a.intav"), Path("b/1.intav"), Path()])
    assert [piece.name for piece in found] == ["a.intav", "b/1.intav", "b/2.intav"]
    assert [piece.place for piece in found] == [Path("a"), Path("b/1"), Path("b/2")]


def test_headings_are_no_pieces_but_can_be_asked_for(here: Path) -> None:
    _touch("b/1.intav", "b/heading.intav")
    assert [piece.name for piece in discover([Path("b/heading.intav")])] == []
    assert [piece.name for piece in discover([Path("b")], headings=True)] == ["b/1.intav", "b/heading.intav"]


def test_paths_that_cannot_be_meant(here: Path) -> None:
    _touch("song.txt")
    with pytest.raises(NoSuchPieceError, match="there is no nowhere"):
        discover([Path("nowhere")])
    with pytest.raises(NoSuchPieceError, match=r"song.txt is not a piece: names of pieces end in .intav"):
        discover([Path("song.txt")])


def test_outputs_of_pieces_elsewhere_are_named_by_what_was_typed(
    here: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    elsewhere = tmp_path_factory.mktemp("book")
    (elsewhere / "part").mkdir()
    (elsewhere / "part" / "1.intav").touch()
    (found,) = discover([elsewhere])
    assert found.place == Path(elsewhere.name) / "part" / "1"
    (found,) = discover([elsewhere / "part" / "1.intav"])
    assert found.place == Path("1")


def test_links_are_not_followed_out_of_the_collection(here: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    (elsewhere / "secret.intav").write_text("longneck 1\ntitle Secret\n", encoding="utf-8")
    _touch("b/1.intav", "c/2.intav")
    Path("b/out.intav").symlink_to(elsewhere / "secret.intav")
    Path("b/in.intav").symlink_to(here / "c" / "2.intav")
    Path("b/round.intav").symlink_to(here / "b" / "round.intav")
    Path("b/folder").symlink_to(elsewhere)
    Path("c/heading.intav").symlink_to(elsewhere / "secret.intav")
    found = {piece.name: piece for piece in discover([Path("b"), Path("c")])}
    assert [name for name, piece in found.items() if piece.strays] == ["b/out.intav"]
    assert "b/in.intav" not in found, "it is c/2.intav, which is there itself"
    assert "b/folder/secret.intav" not in found
    read = decoded(read_raw(found["b/out.intav"]))
    assert [finding.message for finding in read.diagnostics] == ["It is a link that leads out of the collection."]
    assert read.data == b"" and not read.usable
    (heading,) = headings_above(found["c/2.intav"])
    assert "leads out of the collection" in read_raw(heading).refused


def test_a_link_that_is_typed_is_meant(here: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    elsewhere = tmp_path_factory.mktemp("elsewhere")
    (elsewhere / "piece.intav").write_text("longneck 1\n", encoding="utf-8")
    Path("link.intav").symlink_to(elsewhere / "piece.intav")
    (found,) = discover([Path("link.intav")])
    assert not found.strays and read_raw(found).data == b"longneck 1\n"


def test_places_do_not_depend_on_where_one_stands(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    _touch("book/part/1.intav")
    seen = [discover([Path()])[0].place]
    monkeypatch.chdir(here / "book")
    seen += [discover([Path(typed)])[0].place for typed in ("part", "part/1.intav", "../book")]
    monkeypatch.chdir("/")
    seen.append(discover([here / "book"])[0].place)
    assert set(seen) == {Path("book/part/1")}


def test_what_the_artefacts_call_a_file(here: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    piece = here / "book" / "1.intav"
    assert collection_name(piece, piece) == "book/1.intav"
    assert collection_name(here / "heading.intav", piece) == "heading.intav"
    unmarked = tmp_path_factory.mktemp("unmarked")
    alone = unmarked / "book" / "1.intav"
    assert collection_name(alone, alone) == "1.intav"
    assert collection_name(unmarked / "heading.intav", alone) == "../heading.intav"


# --- headings ------------------------------------------------------------------------------------------


def _inherited(name: str) -> list[str]:
    return [heading.name for heading in headings_above(PieceFile(Path(name), name, Path(name)))]


def test_headings_up_to_the_root_of_the_collection_outermost_first(here: Path) -> None:
    _touch("heading.intav", "book/heading.intav", "book/part/1.intav")
    assert _inherited("book/part/1.intav") == ["heading.intav", "book/heading.intav"]
    (here / "book" / ".git").touch()  # a work tree of its own
    assert _inherited("book/part/1.intav") == ["book/heading.intav"]


def test_a_piece_inherits_the_same_wherever_one_stands(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    _touch("heading.intav", "book/heading.intav", "book/1.intav")
    monkeypatch.chdir(here / "book")
    assert _inherited("1.intav") == ["../heading.intav", "heading.intav"]
    assert all(Path(name).is_file() for name in _inherited("1.intav"))


def test_a_heading_inherits_those_above_it(here: Path) -> None:
    _touch("heading.intav", "book/heading.intav")
    assert _inherited("book/heading.intav") == ["heading.intav"]


# --- reading -------------------------------------------------------------------------------------------


def _read(data: bytes) -> files.ReadFile:
    Path("x.intav").write_bytes(data)
    return read_file(Path("x.intav"), "x.intav")


def test_text_is_read_with_any_line_ends(here: Path) -> None:
    read = _read("longneck 1\r\ntitle Prélude\r| 1=7".encode())
    assert read.usable and read.diagnostics == ()
    assert read.source.lines == ("longneck 1", "title Prélude", "| 1=7")


def test_bad_bytes_by_line_and_column(here: Path) -> None:
    read = _read(b"longneck 1\ntitle Pr\xe9lude \xe9\ncomposer caf\xc3\xa9 \xff\n")
    assert not read.usable
    assert [(one.span.line, one.span.start, one.code.slug, one.message) for one in read.diagnostics] == [
        (2, 9, "not-utf8", "The byte 0xE9 is not UTF-8."),
        (3, 15, "not-utf8", "The byte 0xFF is not UTF-8."),
    ]
    assert read.diagnostics[0].hint == "Save the file again as UTF-8; in Latin 1 this byte is “é”."
    assert read.source.at(read.diagnostics[0].span) == "\ufffd"


def test_many_bad_lines_are_not_all_told(here: Path) -> None:
    assert len(_read(b"\xff\n" * 1000).diagnostics) == files.MOST_BAD_LINES


def test_utf_16(here: Path) -> None:
    read = _read("longneck 1\n".encode("utf-16"))
    assert not read.usable
    assert [finding.message for finding in read.diagnostics] == ["The file is UTF-16, not UTF-8."]


def test_a_byte_order_mark_is_told_and_the_rest_read(here: Path) -> None:
    read = _read(b"\xef\xbb\xbflongneck 1\n")
    assert read.usable and read.source.lines == ("longneck 1",)
    assert [(one.span.line, one.span.start, one.code.slug) for one in read.diagnostics] == [(1, 1, "byte-order-mark")]


def test_files_that_are_no_pieces_at_all(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(files.reading, "FILE_BYTES", 2**20)
    read = _read(b"x" * (2**20 + 1))
    assert (read.usable, [finding.code.slug for finding in read.diagnostics]) == (False, ["file-too-large"])
    assert _read(b"x" * 2**20).usable


def test_files_that_cannot_be_read(here: Path) -> None:
    gone = read_file(Path("gone.intav"), "gone.intav")
    assert [(one.code.slug, one.message) for one in gone.diagnostics] == [
        ("file-unreadable", "No such file or directory.")
    ]
    Path("folder.intav").mkdir()
    assert not read_file(Path("folder.intav"), "folder.intav").usable


# --- writing -------------------------------------------------------------------------------------------


def test_a_file_is_replaced_in_one_step(here: Path) -> None:
    target = Path("x.txt")
    target.write_bytes(b"old")
    target.chmod(0o640)
    write_whole(target, b"new")
    assert target.read_bytes() == b"new"
    assert target.stat().st_mode & 0o777 == 0o640
    assert [path.name for path in here.iterdir() if path.name != ".git"] == ["x.txt"]


def test_a_failed_write_leaves_the_old_content_and_nothing_else(here: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = Path("x.txt")
    target.write_bytes(b"old")

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        write_whole(target, b"new")
    assert target.read_bytes() == b"old"
    assert [path.name for path in here.iterdir() if path.name != ".git"] == ["x.txt"]


def test_new_files_have_the_permissions_of_new_files(here: Path) -> None:
    mask = os.umask(0o022)
    try:
        write_whole(Path("x.txt"), b"")
    finally:
        os.umask(mask)
    assert Path("x.txt").stat().st_mode & 0o777 == 0o644


def test_artefacts_of_an_earlier_run_are_taken_away_and_no_other_file(here: Path) -> None:
    folder = Path("out/piece")
    write_artefacts(folder, [("edition-001.svg", b"1"), ("edition-002.svg", b"2"), ("edition.mei", b"m")])
    (folder / "notes.txt").touch()
    (folder / "edition-mine.svg").touch()
    write_artefacts(folder, [("edition-001.svg", b"new")])
    assert sorted(path.name for path in folder.iterdir()) == ["edition-001.svg", "edition-mine.svg", "notes.txt"]
    assert (folder / "edition-001.svg").read_bytes() == b"new"


def test_leftovers_of_killed_builds_are_cleared_and_nothing_else(here: Path) -> None:
    folder = Path("out")
    folder.mkdir()
    for name in (".edition.mei.part-a1b2c3d4", ".edition.mei.part-mine", ".keep", "edition.mei", ".part-a1b2c3d4"):
        (folder / name).touch()
    clear_leftovers(folder)
    assert sorted(path.name for path in folder.iterdir()) == [
        ".edition.mei.part-mine",
        ".keep",
        ".part-a1b2c3d4",
        "edition.mei",
    ]
    clear_leftovers(Path("nowhere"))


def test_files_that_hold_the_right_bytes_are_left_alone(here: Path) -> None:
    write_artefacts(Path("x"), [("edition.mei", b"same"), ("events.xml", b"old")])
    before = {path.name: path.stat().st_ino for path in Path("x").iterdir()}
    write_artefacts(Path("x"), [("edition.mei", b"same"), ("events.xml", b"new")])
    after = {path.name: path.stat().st_ino for path in Path("x").iterdir()}
    assert after["edition.mei"] == before["edition.mei"]
    assert Path("x/events.xml").read_bytes() == b"new"


def test_a_second_writer_waits_for_the_first(here: Path) -> None:
    order: list[str] = []
    waits = threading.Event()

    def second() -> None:
        with sole_writer(Path("out"), waits.set):
            order.append("second")

    with sole_writer(Path("out"), lambda: order.append("never")):
        other = threading.Thread(target=second)
        other.start()
        assert waits.wait(5)
        order.append("first")
    other.join(5)
    assert order == ["first", "second"]
    assert list(Path("out").iterdir()) == []
