"""The proof page and the page of all pieces, as documents; ``tests/browser`` looks at them in a browser."""

from __future__ import annotations

import json
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from pipeline.desk.proof.proofs import proof_of
from pipeline.desk.proof.record import ListedPiece, Listing
from pipeline.desk.proof.writers import write_index
from pipeline.desk.proof.writers.facts import facts
from pipeline.edition.apparatus import apparatus
from pipeline.edition.perform import perform
from pipeline.folder.batch import build_all
from pipeline.folder.files import discover
from pipeline.model.artefacts import USUAL, Form
from pipeline.model.options import Options
from pipeline.model.record import replace
from pipeline.model.song import Song
from pipeline.model.text import SourceText
from pipeline.piece import build_piece
from pipeline.writers.faces import lettered
from pipeline.writers.html import Block, element, page
from tests.made import HEADING, text, voiced

ONLY = Options(forms=(Form.PROOF,))
UNPROVED = tuple(form for form in USUAL if form is not Form.PROOF)
MUSIC = '| 2=X,4:2 3:3!3:5"a\n"a : words </script> <!-- <script> & \x0c\n| 1=7,4:0,3:0 |||'


class Read(HTMLParser):
    """The page as the standard library reads it: tags with their attributes, the text of each script by its id."""

    def __init__(self, data: bytes) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.scripts: dict[str, str] = {}
        self._script: str | None = None
        self.feed(data.decode())

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag == "script":
            self._script = dict(attrs).get("id") or ""

    def handle_endtag(self, tag: str) -> None:
        self._script = None

    def handle_data(self, data: str) -> None:
        if self._script is not None:
            self.scripts[self._script] = self.scripts.get(self._script, "") + data


def built(options: Options = ONLY, *, music: str = MUSIC, home: str = "") -> bytes:
    return dict(build_piece(text(music), (), options, home=home).artefacts)["proof.html"]


def test_one_script_and_the_drawings_as_they_are() -> None:
    result = dict(build_piece(text(MUSIC), (), Options()).artefacts)
    read = Read(result["proof.html"])
    assert set(read.scripts) == {"", "facts", "edition-1", "reduction-1"}
    for name in ("edition", "reduction"):
        drawing = result[f"{name}-001.svg"].decode()
        bare = read.scripts[f"{name}-1"]
        assert "@font-face" not in bare and "letters" not in bare  # the page carries the faces once
        assert lettered(bare).page == drawing
    known = json.loads(read.scripts["facts"])
    assert [bar[1] for bar in known["bars"]] == [5, 7]  # lines of the bars
    assert [page[2] for page in known["views"][0][2]] == [[1, 2]]  # bars on the page


def test_nothing_typed_is_a_tag_or_a_script() -> None:
    plain, evil = Read(built(music=MUSIC.replace("</script> <!-- <script> &", "x"))), Read(built())
    assert [tag for tag, _ in evil.tags] == [tag for tag, _ in plain.tags]


def test_nothing_is_loaded_from_anywhere() -> None:
    data = built()
    for tag, attributes in Read(data).tags:
        assert tag not in {"link", "iframe", "object", "embed"}
        assert not {"src", "action", "style"} & set(attributes), (tag, attributes)
    assert b"http://" not in data.replace(b"http://www.w3.org/", b"") and b"https://" not in data


def test_only_a_live_page_asks_for_its_stamp() -> None:
    assert b"stamp.js" not in built()
    live = built(replace(ONLY, live=True))
    assert b"stamp.js" in live and re.search(rb"script-src 'sha256-[\w+/=]{44}' 'self' file:;", live)


def test_the_same_bytes_every_time_and_none_if_not_wanted() -> None:
    assert built() == built()
    assert "proof.html" not in dict(build_piece(text(MUSIC), (), Options(forms=UNPROVED)).artefacts)
    assert [name for name, _ in build_piece(text(MUSIC), (), ONLY).artefacts] == ["findings.json", "proof.html"]


def test_probable_misprints_are_listed_when_asked_for() -> None:
    # One crotchet too many in a piece that else adds up: something must look like a slip.
    music = "\n".join(["| 4=7,3:0 3:2 3:3 3:0"] * 3 + ["| 4=7,3:0 3:2 3:3 3:0 3:2"] + ["| 4=7,3:0 3:2 3:3 3:0"] * 4)
    source = text(music, HEADING + "metre C\n")
    without = dict(build_piece(source, (), ONLY).artefacts)["proof.html"].decode()
    asked = dict(build_piece(source, (), Options(forms=(Form.PROOF,), misprints=True)).artefacts)["proof.html"].decode()
    assert "Not looked for." in without and 'class="item misprint"' not in without
    assert 'class="item misprint" data-at="b4' in asked
    assert "longneck propose trial.intav --accept " in asked


def test_a_piece_that_cannot_be_read_at_all_still_has_a_page() -> None:
    for source in (SourceText.of("x.intav", ""), SourceText.of("x.intav", "nonsense\n| 9:9:9\n")):
        read = Read(dict(build_piece(source, (), ONLY).artefacts)["proof.html"])
        assert "facts" in read.scripts


@pytest.mark.parametrize("evil", ["<!-- x", "</script>", "<SCRIPT>"])
def test_a_block_cannot_end_its_element(evil: str) -> None:
    with pytest.raises(ValueError, match="could end its element early"):
        page("x", element("body"), blocks=[Block("a", "image/svg+xml", f"<svg>{evil}</svg>")])


def test_blocks_stand_in_their_elements() -> None:
    read = Read(
        page(
            "x",
            element("body", None, "</p>"),
            script="1 < 2",
            blocks=[Block("a", "t/t", "<a>"), Block("b", "t/t", "é")],
        )
    )
    assert read.scripts == {"a": "<a>", "b": "é", "": "1 < 2"}


def test_the_page_of_all_pieces_leads_to_folders_with_any_name() -> None:
    listed = ListedPiece("a b/#1.intav", "<b>", "a b/#1 ? %", 1, 0, 2, ("proof.html", "edition-001.svg", "build.json"))
    read = Read(
        write_index(
            Listing(
                "",
                entries=(
                    listed,
                    ListedPiece("x.intav", "", "x", 1, 0, 0, ("findings.json", "not-built.json"), unbuilt=True),
                ),
            )
        )
    )
    assert [attributes["href"] for tag, attributes in read.tags if tag == "a"] == [
        "a%20b/%231%20%3F%20%25/proof.html",
        "a%20b/%231%20%3F%20%25/edition-001.svg",
        "x/findings.json",
        "x/not-built.json",
    ]


def test_the_page_of_all_pieces_says_what_could_not_be_built() -> None:
    pieces = (
        ListedPiece("1.intav", "", "1", 1, 0, 0, (), unbuilt=True),
        ListedPiece("2.intav", "", "2", 1, 0, 0, ("edition.mei",), unbuilt=True),
        ListedPiece("3.intav", "", "3", 0, 0, 0, ("edition.mei",)),
    )
    page = write_index(Listing("", entries=pieces)).decode()
    assert page.count("Could not be built") == 2
    assert page.count("the files are of an earlier build") == 1


def test_facts_are_small() -> None:
    """A hundred bytes a bar and thirty a sign are enough."""
    music = "\n".join(["| 8=X,4:2,3:3 3:5 3:3 3:2 3:0 2:3 2:1 2:0"] * 100)
    piece = voiced(music, HEADING + "metre C\n")
    proof = proof_of((text(music),), piece, apparatus(piece), Song(), perform(piece), (), ())
    signs = sum(len(bar.signs) for bar in proof.bars)
    assert len(json.dumps(facts(proof), separators=(",", ":"))) < 100 * 100 + 30 * signs


def test_a_finding_on_the_bytes_of_a_text_is_on_its_page_too(tmp_path: Path) -> None:
    """A byte order mark is seen before there is any text."""
    (tmp_path / "piece.intav").write_bytes(b"\xef\xbb\xbf" + text(MUSIC).text.encode())
    (done,) = build_all(discover([tmp_path]), tmp_path / "out", ONLY)
    assert [one.code.slug for one in done.diagnostics if "byte" in one.code.slug] == ["byte-order-mark"]
    page = next(path for path in done.written if path.name == "proof.html").read_text(encoding="utf-8")
    assert "byte-order-mark" in page
