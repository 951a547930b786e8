"""``longneck volume``: a small book made from the command line, its site and its PDF looked through."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import unquote

import pypdfium2
import pytest
from lxml import html
from PIL import Image

from tests.cli.asked import run, write

HEAD = "longneck 1\ntitle {}\nsource A = Trial book, f. 4r, shelfmark Mus. 7\ninstrument theorbo in A\nmetre C\n"
BOOK = """longneck 1
book Il libro & <co>
part songs = Songs
part gone = Nothing here
introduction front/intro.md
method front/gone.md
imprint A press
edition 1.0, 2026-11-30
licence CC BY 4.0, https://example.org/by/4.0/
editor EB = E. B.
"""
SONG = """layer v = Canto, clef C1
canvas 4r = https://example.org/canvas/4r
facsimile 4r = 4r.png

&4r
| 2=7,3:0 4=3:2 3:3
v 2=A4 4=B4 C5
1 Ve- nite òmbre
| 1=7,4:0 |||
v 1=A4
1 care
"""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Path, int, str]]:
    """The folder of the volume, the exit code, and what was said."""
    before = Path.cwd()
    os.chdir(tmp_path_factory.mktemp("book"))
    Path(".git").mkdir()
    write("book/heading.intav", BOOK)
    write("book/front/intro.md", "# On the book\n\nOld, [here](https://example.org).\n\n![gone](x.png)\n")
    write("book/songs/a song #1.intav", HEAD.format("Canto") + SONG)
    Image.new("L", (30, 40)).save("book/songs/4r.png")
    write("book/solo/1.intav", HEAD.format("Alba") + "\n| 1=7,4:0,3:0 |||\n")
    write("book/solo/2.intav", HEAD.format("Wrong") + "\n| 1=8:1,4:2 |||\n")
    try:
        code, out, err = run("volume", "book", "--out", "out", "--jobs", "1")
        yield Path("out").resolve(), code, out + err
    finally:
        os.chdir(before)


def pages(folder: Path) -> list[Path]:
    return sorted(folder.rglob("*.html"))


def test_findings_stand_at_their_lines(made: tuple[Path, int, str]) -> None:
    _, code, said = made
    assert code == 1
    assert "book/solo/2.intav:7:5  error fretted-diapason" in said
    assert "book/heading.intav:6:8  error book-file  front/gone.md cannot be read: there is no such file." in said
    assert "book/heading.intav:4:1  warning book-part  There is no piece in the folder gone." in said
    assert "book/front/intro.md:5:1  warning book-text  The image x.png is not printed." in said


def test_a_piece_with_errors_is_named_and_not_bound(made: tuple[Path, int, str]) -> None:
    folder, _, _ = made
    start = html.parse(folder / "index.html")
    (lost,) = start.xpath("//li[starts-with(text(), 'Wrong')]")
    assert lost.text_content() == "WrongMissing: there is 1 error in its text"
    assert not (folder / "solo" / "2" / "index.html").exists()
    pdf = pypdfium2.PdfDocument(folder / "volume.pdf")
    assert "Missing from this volume: there is 1 error in its text" in pdf[2].get_textpage().get_text_range()


def test_every_link_of_the_site_leads_somewhere(made: tuple[Path, int, str]) -> None:
    folder, _, _ = made
    seen = set()
    for page in pages(folder):
        tree = html.parse(page)
        for target in tree.xpath("//@href | //@src"):
            if str(target).startswith(("http://", "https://", "data:")):
                continue
            path, _, anchor = str(target).partition("#")
            file = (page.parent / unquote(path)).resolve() if path else page
            assert file.is_file(), (page, target)
            seen.add(file)
            if anchor and file.suffix == ".html":
                assert html.parse(file).xpath("//*[@id=$name]", name=unquote(anchor)), (page, target)
    mine = {page for page in pages(folder) if page.name not in ("critical-report.html",) and "2" not in page.parts}
    assert {page.resolve() for page in mine} <= seen


def test_the_page_of_a_piece_says_where_it_comes_from_and_how_it_is_cited(made: tuple[Path, int, str]) -> None:
    folder, _, _ = made
    tree = html.parse(folder / "songs" / "a song #1" / "index.html")
    said = tree.getroot().text_content()
    assert "A: Trial book, f. 4r (shelfmark Mus. 7)" in said
    assert "“Canto”, in: Il libro & <co>, edited by E. B., p. 1, edition 1.0 of 30 November 2026." in said
    assert tree.xpath("//a[@href='https://example.org/canvas/4r']")
    assert tree.xpath("//a[@href='reduction.pdf']") and tree.xpath("//a[@href='edition.mei']")
    assert not tree.xpath("//a[@href='proof.html']")


def test_programs_read_what_a_page_is(made: tuple[Path, int, str]) -> None:
    folder, _, _ = made
    (text,) = html.parse(folder / "songs" / "a song #1" / "index.html").xpath("//script[@id='metadata']/text()")
    said = json.loads(text)
    assert (said["@context"], said["@type"], said["name"]) == ("https://schema.org", "SheetMusic", "Canto")
    assert said["isPartOf"]["name"] == "Il libro & <co>"
    assert (said["version"], said["datePublished"], said["license"]) == (
        "1.0",
        "2026-11-30",
        "https://example.org/by/4.0/",
    )
    assert said["isBasedOn"][0]["identifier"] == "Mus. 7"
    assert {one["contentUrl"] for one in said["encoding"]} >= {"edition.mei", "edition.musicxml", "edition.pdf"}
    (text,) = html.parse(folder / "index.html").xpath("//script[@id='metadata']/text()")
    assert [one["name"] for one in json.loads(text)["hasPart"]] == ["Canto", "Alba"]


def test_a_second_run_changes_nothing_and_a_piece_that_goes_takes_its_page_along(made: tuple[Path, int, str]) -> None:
    folder, _, _ = made
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    run("volume", "book", "--out", "out", "--jobs", "1")
    assert {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()} == before
    Path("book/solo/1.intav").rename("alba.txt")
    try:
        run("volume", "book", "--out", "out", "--jobs", "1")
        assert not (folder / "solo" / "1" / "index.html").exists()
        assert "Alba" not in (folder / "index.html").read_text(encoding="utf-8")
    finally:
        Path("alba.txt").rename("book/solo/1.intav")


@pytest.mark.parametrize(
    ("heading", "said"),
    [
        (None, "book is no book: it has no heading.intav"),
        ("longneck 1\ncomposer X\n", "book is no book: its heading.intav has no line such as “book Trial book”"),
    ],
)
def test_a_folder_that_is_no_book_is_refused(
    heading: str | None, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path(".git").mkdir()
    write("heading.intav", "longneck 1\nbook Above\n")
    write("book/1.intav", HEAD.format("Alba") + "\n| 1=7 |||\n")
    if heading is not None:
        write("book/heading.intav", heading)
    code, out, err = run("volume", "book")
    assert (code, out) == (2, "") and said in err
    assert not Path("out").exists()


def test_a_piece_is_no_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    write("1.intav", HEAD.format("Alba"))
    assert run("volume", "1.intav")[0] == 2
