"""What a conversation finds is what ``check`` finds on the same text: after any edit, in any heading, always."""

from __future__ import annotations

import random
from collections import Counter
from pathlib import Path

import pytest

from pipeline.desk.converse.look import look_at
from pipeline.findings.codes import ALL, whole_piece
from pipeline.folder.batch.reading import Reader, with_files
from pipeline.folder.batch.work import check_parcel
from pipeline.folder.conversing import Conversation, Document, propose_parcel, read_parcel
from pipeline.folder.files import PieceFile
from pipeline.model.diagnostics import Diagnostic, Severity
from tests.editing import edited

HEADING = "longneck 1\ninstrument theorbo in A\neditor EB = E. B.\n"
ANTHOLOGY = Path(__file__).parents[2] / "fixtures" / "anthology"
PIECE = """longneck 1
title Trial
metre C
key D minor
layer v = Canto, clef C1, 1 flat
mark T = "t" trill, after

section Prima
| 2=X,4:2,3:3,2:1 4=3:5 3:6
v 2=D5 E5
1 A- mor
| ditto
| 4.=11,4:0,3:5"a'T 8=3:3 2=6:0,5:2,_3:2
"a EB: so in the source
| 8=8,4:0,1:0 1:2 3:0 2:1 4=2:0 3:2"b
"b > octave kept
| 1=X,4:2,3:3,2:1 |||
"""


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A collection with one piece, and a heading above it."""
    (tmp_path / ".git").mkdir()
    (tmp_path / "book").mkdir()
    (tmp_path / "heading.intav").write_text(HEADING, encoding="utf-8")
    (tmp_path / "book" / "piece.intav").write_text(PIECE, encoding="utf-8")
    return tmp_path


def checked(path: Path) -> tuple[Diagnostic, ...]:
    """What ``longneck check`` finds in a file, its names as the collection has them."""
    file = PieceFile(path, path.as_posix(), Path(path.stem))
    return check_parcel(with_files(Reader().parcel(file), file)).diagnostics


def read(talk: Conversation, uri: str) -> Document:
    """A document read through, as the server has it done elsewhere."""
    document = talk.looked_at(uri)
    assert document is not None and document.packed is not None
    assert document.take_whole(document.revision, read_parcel(document.packed.whole()))
    return document


def opened(talk: Conversation, path: Path, text: str | None = None) -> str:
    uri = path.as_uri()
    talk.opened(uri, path, path.read_text(encoding="utf-8") if text is None else text, 1)
    return uri


@pytest.mark.parametrize("seed", range(3))
def test_after_every_edit_the_findings_are_those_of_check(book: Path, seed: int) -> None:
    """Thirty edits a seed: those of the signs at once and no others, those of the reading with them in the end."""
    chance, text = random.Random(seed), PIECE
    path = book / "book" / "piece.intav"
    talk = Conversation()
    for number in range(30):
        text = edited(text, chance)
        uri = opened(talk, path, text)
        document = talk.looked_at(uri)
        assert document is not None
        soon = Counter(document.soon)
        path.write_bytes(text.encode())
        expected = checked(path)
        assert not soon - Counter(expected), f"edit {number}"
        assert read(talk, uri).found == expected, f"edit {number}"


@pytest.mark.parametrize("seed", range(8))
def test_what_is_kept_from_one_text_to_the_next_changes_nothing(seed: int) -> None:
    """The signs of a text that grew by edits are read as those of the same text read for the first time: findings,
    pitches, times and places alike, in pieces of the anthology."""
    pieces = sorted(path for path in ANTHOLOGY.rglob("*.intav") if path.name != "heading.intav")
    chance = random.Random(seed)
    talk, text = Conversation(), chance.choice(pieces).read_text(encoding="utf-8")
    for number in range(8):
        text = edited(text, chance)
        talk.opened("piece", None, text, number)
        document = talk.looked_at("piece")
        assert document is not None and document.look is not None
        fresh = look_at(document.source)
        assert (document.look.found, document.look.piece) == (fresh.found, fresh.piece), f"edit {number}"


@pytest.mark.parametrize(
    "text", ["", "\n", "\ufefflongneck 1\n| 1=3:2\n", "longneck 1\r\n| 1=3:2\r", "| 1=3:2\ud800\n", "\x00\x0b\u2028"]
)
def test_strange_texts_too(book: Path, text: str) -> None:
    path = book / "book" / "piece.intav"
    talk = Conversation()
    uri = opened(talk, path, text)
    path.write_bytes(text.encode("utf-8", "surrogatepass"))
    assert read(talk, uri).found == checked(path)


def test_a_heading_that_is_typed_is_inherited_before_it_is_saved(book: Path) -> None:
    talk = Conversation()
    piece = opened(talk, book / "book" / "piece.intav")
    before = read(talk, piece).found
    heading = opened(talk, book / "heading.intav")
    changed = HEADING.replace("theorbo in A", "lute in G, 6 courses")
    touched = talk.opened(heading, book / "heading.intav", changed, 2)
    assert touched == (heading, piece)
    after = read(talk, piece).found
    assert after != before and any("no course 10" in one.message for one in after)
    (book / "heading.intav").write_text(changed, encoding="utf-8")
    assert after == checked(book / "book" / "piece.intav")
    assert talk.closed(heading) == (piece,)
    assert read(talk, piece).found == after


def test_findings_in_a_heading_are_shown_there_once(book: Path) -> None:
    (book / "heading.intav").write_text(f"{HEADING}key H major\n", encoding="utf-8")
    (book / "book" / "other.intav").write_text(PIECE.replace("key D minor\n", ""), encoding="utf-8")
    (book / "book" / "third.intav").write_text(PIECE.replace("key D minor\n", ""), encoding="utf-8")
    talk = Conversation()
    documents = [read(talk, opened(talk, book / "book" / name)) for name in ("other.intav", "third.intav")]
    shown = [one for document in documents for one in talk.shown(document) if one.path == book / "heading.intav"]
    assert [[found.code.slug for found in one.found] for one in shown] == [["key"], ["key"]]
    assert shown[0].paper.line(4) == "key H major"


def test_files_that_change_on_the_disk_are_noticed(book: Path) -> None:
    text = PIECE.replace("section Prima", "facsimile 1r = page.png\n\nsection Prima")
    (book / "book" / "piece.intav").write_text(text, encoding="utf-8")
    talk = Conversation()
    piece = opened(talk, book / "book" / "piece.intav")
    before = read(talk, piece).found
    assert talk.changed_files() == () == talk.changed_files()
    (book / "heading.intav").write_text(f"{HEADING}remark one more\n", encoding="utf-8")
    assert talk.changed_files() == (piece,)
    talk.looked_at(piece)
    assert talk.changed_files() == ()
    (book / "book" / "page.png").write_bytes(b"no image")
    assert talk.changed_files() == (piece,)
    assert read(talk, piece).found == checked(book / "book" / "piece.intav") != before
    (book / "book" / "heading.intav").write_text("longneck 1\ncomposer Nobody\n", encoding="utf-8")
    assert talk.changed_files() == (piece,)


def test_severities_that_a_heading_declares_hold(book: Path) -> None:
    (book / "heading.intav").write_text(f"{HEADING}severity bar-too-short = note\n", encoding="utf-8")
    talk = Conversation()
    piece = opened(talk, book / "book" / "piece.intav", PIECE.replace(" 3:6", ""))
    document = talk.looked_at(piece)
    assert document is not None
    short = [one for one in document.soon if one.code.slug == "bar-too-short"]
    assert [one.severity for one in short] == [Severity.NOTE]


def test_while_a_text_is_read_findings_of_the_reading_stand_on_lines_that_are_the_same(book: Path) -> None:
    text = whole_piece(ALL["octave-doubtful"].faulty)
    talk = Conversation()
    piece = opened(talk, book / "book" / "piece.intav", text)
    whole = read(talk, piece)
    asked = [one.span.line for one in whole.found if one.code.slug == "octave-doubtful"]
    assert asked
    opened(talk, book / "book" / "piece.intav", text.replace("metre C\n", "metre C\nremark more\n"))
    document = talk.looked_at(piece)
    assert document is not None and not document.whole
    standing = [one.span.line for one in document.found if one.code.slug == "octave-doubtful"]
    assert standing == [line + 1 for line in asked]
    assert document.insight is None


def test_a_reading_of_an_older_text_is_not_taken(book: Path) -> None:
    talk = Conversation()
    piece = opened(talk, book / "book" / "piece.intav")
    document = talk.looked_at(piece)
    assert document is not None and document.packed is not None
    old, whole = document.revision, read_parcel(document.packed.whole())
    opened(talk, book / "book" / "piece.intav", PIECE + "| -\n")
    talk.looked_at(piece)
    assert not document.take_whole(old, whole) and not document.whole


def test_misprints_are_those_of_propose(book: Path) -> None:
    from pipeline.folder.batch import propose_all  # noqa: PLC0415  loads the search

    path = book / "book" / "piece.intav"
    path.write_text(PIECE.replace("8=3:3 2=6:0", "4=3:3 2=6:0"), encoding="utf-8")
    (book / "book" / "sibling.intav").write_text(PIECE, encoding="utf-8")
    talk = Conversation()
    document = talk.looked_at(opened(talk, path))
    assert document is not None and document.packed is not None
    listed = next(iter(propose_all([PieceFile(path, path.as_posix(), Path("piece"))]))).proposals
    found = propose_parcel(document.packed.parcel, path)
    assert listed and [one.id for one in found] == [one.id for one in listed]


def test_a_text_without_a_file_is_read_by_itself() -> None:
    talk = Conversation()
    text = PIECE.replace("metre C", "instrument theorbo in A\neditor EB = E. B.\nmetre C")
    talk.opened("untitled:one", None, text, 1)
    assert not [one for one in read(talk, "untitled:one").found if one.severity is Severity.ERROR]
