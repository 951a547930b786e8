"""The volume: which page each piece stands on, and the PDF read back by an independent reader.

Facing pages for pieces of two, and no turn within them: common practice, no source. Roman figures before the music:
common practice, no source.
"""

from __future__ import annotations

import re
from functools import cache
from typing import Any

import pypdfium2
import pytest

from pipeline.desk.volume import words
from pipeline.desk.volume.leaf import leaf_of, one_line
from pipeline.desk.volume.plan import index_of, placed, roman, sections_of
from pipeline.desk.volume.prose import read_prose
from pipeline.desk.volume.record import Leaf, Missing, Section, Volume
from pipeline.desk.volume.writers.book import write_book
from pipeline.model.book import Book, BookPart, Issue, Licence
from pipeline.model.layout import Strip
from pipeline.model.record import replace
from pipeline.model.text import SourceText, Span

HERE = Span("heading.intav", 2, 1, 5)
HEAD = "longneck 1\ntitle {}\ncomposer {}\nsource A = Trial book, f. 3v\nsource B = Trial copy\neditor EB = E. B.\n"
SOLO = (
    HEAD
    + """instrument theorbo in A
metre C

| 4=X,4:2,3:3,2:1 4!8=3:5"a 8=3:3 2=8,3:2
"a EB: too long
{}| 1=7,4:0 |||
"""
)
SONG = (
    HEAD
    + """instrument theorbo in G
metre C
layer v = Canto, clef C1

| 2=7,3:0 4=3:2 3:3
v 2=A4 4=B4 C5
1 Ve- nite òmbre
| 1=7,4:0 |||
v 1=A4
1 care
"""
)


@cache
def leaf(place: str, title: str, *, long: int = 0, sung: bool = False) -> Leaf:
    text = SONG.format(title, "A composer") if sung else SOLO.format(title, "Another", "| 1=7,4:0,3:0,2:1\n" * long)
    return leaf_of(SourceText.of(f"{place}.intav", text), (), place)


@cache
def volume() -> Volume:
    leaves = (
        leaf("solo/01", "Alba"),
        leaf("solo/02", "Èglogue", long=60),
        leaf("songs/01", "Canto", sung=True),
    )
    book = Book("Il libro", HERE, "Pieces", imprint=("A press, a town",), parts=(BookPart("songs", "Songs", HERE),))
    lost = (Missing("solo/03", "Lost", "there are 2 errors in its text"),)
    text = read_prose(SourceText.of("front.md", "# Introduction\n\nOn the book.\n\n- one\n- two\n"), "").value
    heading = replace(leaves[0].heading, issue=Issue("1.2", "2026-11-30"), licence=Licence("CC BY 4.0"))
    return Volume(book, heading, sections_of(book, leaves, lost), introduction=text)


@cache
def made() -> bytes:
    return write_book(volume())


@pytest.fixture
def pdf() -> Any:
    return pypdfium2.PdfDocument(made())


def text_of(pdf: Any, page: int) -> str:
    return str(pdf[page].get_textpage().get_text_range())


def bookmarks(pdf: Any) -> dict[str, int]:
    return {one.get_title(): one.get_dest().get_index() for one in reversed(list(pdf.get_toc()))}


def fake(place: str, pages: int) -> Leaf:
    sides = tuple(f"{number}" for number in range(pages))
    return replace(leaf("solo/01", "Alba"), place=place, right=sides, left=sides, strip=None)


def short(place: str, share: float) -> Leaf:
    return replace(fake(place, 1), strip=Strip(place, share))


def part(*leaves: Leaf) -> Section:
    return Section("", leaves)


# --- the plan -------------------------------------------------------------------------------------------------


def test_pieces_of_two_pages_lie_open() -> None:
    pieces = placed([part(fake("a", 1), fake("b", 2), fake("c", 2), fake("d", 3), fake("e", 2))])
    assert [(one.leaf.place, one.first, one.blank) for one in pieces] == [
        ("a", 1, False),
        ("b", 2, False),
        ("c", 4, False),
        ("d", 6, False),
        ("e", 10, True),  # page 9 is left empty
    ]


def test_a_piece_takes_the_pages_planned_for_its_side() -> None:
    piece = replace(fake("b", 3), left=("x", "y", "z"))
    assert placed([part(piece)])[0].pages == piece.right
    assert placed([part(fake("a", 1), piece)])[1].pages == ("x", "y", "z")


def test_short_pieces_of_a_part_share_a_page_as_far_as_it_holds_them() -> None:
    first = part(short("a", 0.3), short("b", 0.3), short("c", 0.2), short("d", 0.3), fake("e", 1))
    pieces = placed([first, part(short("f", 0.3)), part(short("g", 0.5), short("h", 0.5), short("i", 0.4))])
    assert [(one.leaf.place, one.first, one.down is not None) for one in pieces] == [
        ("a", 1, True),
        ("b", 1, True),
        ("c", 1, True),
        ("d", 2, False),  # 0.3 more would be too much, with what is left free between them
        ("e", 3, False),
        ("f", 4, False),  # it begins a part
        ("g", 5, False),
        ("h", 6, True),
        ("i", 6, True),
    ]
    assert [one.pages for one in pieces[:3]] == [("a",), ("b",), ("c",)]
    downs = [one.down for one in pieces[:3] if one.down is not None]
    assert downs[0] == 0 and 0.3 < downs[1] < downs[2] - 0.3 < downs[2] + 0.2 <= 1


def test_a_strip_is_the_whole_piece_and_a_long_one_has_none() -> None:
    strip = leaf("songs/01", "Canto", sung=True).strip
    assert strip is not None and 0.1 < strip.share < 0.6
    whole = leaf("songs/01", "Canto", sung=True).right[0]
    assert re.findall(r"<text[^>]*>[^<]+", strip.svg) == re.findall(r"<text[^>]*>[^<]+", whole)
    assert leaf("solo/02", "Èglogue", long=60).strip is None


def test_parts_stand_in_the_order_of_their_lines_then_folders() -> None:
    book = Book("X", HERE, parts=(BookPart("songs", "Songs", HERE), BookPart("a/late", "Late", HERE)))
    leaves = [fake(place, 1) for place in ("a/1", "a/late/2", "a/late/deep/3", "songs/4", "5")]
    sections = sections_of(book, leaves, [Missing("songs/0", "Gone", "x")])
    assert [(one.title, [leaf.place for leaf in one.leaves]) for one in sections] == [
        ("Songs", ["songs/4"]),
        ("Late", ["a/late/2", "a/late/deep/3"]),
        ("", ["5"]),
        ("a", ["a/1"]),
    ]
    assert [one.title for one in sections[0].missing] == ["Gone"]


def test_roman_figures() -> None:
    assert [roman(number) for number in (1, 4, 9, 14, 40, 49, 90)] == ["i", "iv", "ix", "xiv", "xl", "xlix", "xc"]


def test_the_index_has_first_lines_and_minds_no_accents() -> None:
    entries = index_of(volume().leaves)
    assert [(one.text, one.sung) for one in entries] == [
        ("Alba", False),
        ("Canto", False),
        ("Èglogue", False),
        ("Venite òmbre care", True),
    ]


@pytest.mark.parametrize(
    ("sung", "line"),
    [
        ("Doux rossignol, reviens au bois, La nuit est claire; Redis", "Doux rossignol, reviens au bois"),
        ("Vento, che per l'aria passi,", "Vento, che per l'aria passi"),
        ("Vento, Foglia, che passi", "Vento, Foglia, che passi"),  # a name that is called begins no line
        ("Langue la Rosa al sole", "Langue la Rosa al sole"),  # nor does a capital without a mark before it
        ("Ah, che fai?", "Ah, che fai?"),
        ("", ""),
    ],
)
def test_a_first_line_ends_where_the_next_begins(sung: str, line: str) -> None:
    assert one_line(sung) == line


# --- the file -------------------------------------------------------------------------------------------------


def test_page_labels_are_roman_then_arabic_from_the_first_piece(pdf: Any) -> None:
    labels = [pdf.get_page_label(page) for page in range(len(pdf))]
    first = bookmarks(pdf)["Music"]
    assert first % 2 == 0  # counted from 0: a right-hand page
    assert labels[:first] == [roman(number) for number in range(1, first + 1)]
    assert labels[first:] == [str(number) for number in range(1, len(labels) - first + 1)]


def test_bookmarks_have_the_parts_and_their_pieces_below(pdf: Any) -> None:
    marks = [(one.level, one.get_title()) for one in pdf.get_toc()]
    music = marks.index((0, "Music"))
    assert marks[music + 1 : music + 6] == [(1, "Songs"), (2, "Canto"), (1, "solo"), (2, "Alba"), (2, "Èglogue")]


def test_contents_name_the_page_that_a_bookmark_leads_to(pdf: Any) -> None:
    marks = bookmarks(pdf)
    said = re.sub(r"\s+", " ", text_of(pdf, marks["Contents"]))
    for title in ("Introduction", "Instruments and tunings", "Alba", "Èglogue", "Canto", "Critical report"):
        printed = re.search(rf"{title} *[. ]*?([ivxl]+|\d+)(?= |$)", said)
        assert printed is not None, (title, said)
        assert printed[1] == pdf.get_page_label(marks[title]), title
        assert title in re.sub(r"\s+", " ", text_of(pdf, marks[title]))


def test_the_number_printed_on_a_page_is_its_label(pdf: Any) -> None:
    for page in range(2, len(pdf)):
        lines = text_of(pdf, page).split()
        assert not lines or pdf.get_page_label(page) in lines


def test_a_piece_that_is_missing_is_named_with_the_reason(pdf: Any) -> None:
    said = text_of(pdf, bookmarks(pdf)["Contents"])
    assert "Lost" in said and "Missing from this volume: there are 2 errors in its text" in said
    assert "Lost" not in bookmarks(pdf)


def test_the_report_has_every_reading_and_the_index_every_title(pdf: Any) -> None:
    marks = bookmarks(pdf)
    report = text_of(pdf, marks["Critical report"])
    assert report.count("(EB)") == 2  # one in each of the pieces that have such a note
    index = re.sub(r"[.\s]+", " ", text_of(pdf, marks["Titles and first lines"]))
    assert f"Venite òmbre care {pdf.get_page_label(marks['Canto'])}" in index


def test_pieces_that_share_a_page_are_all_on_it_and_found_there() -> None:
    book = volume().book
    leaves = (leaf("solo/01", "Alba"), leaf("solo/02", "Bruma"), leaf("solo/03", "Cielo", long=60))
    pdf = pypdfium2.PdfDocument(write_book(Volume(book, leaves[0].heading, sections_of(book, leaves, ()))))
    marks = bookmarks(pdf)
    assert marks["Alba"] == marks["Bruma"] < marks["Cielo"]
    words = pdf[marks["Alba"]].get_textpage()
    said = words.get_text_range()
    heights = [words.get_charbox(said.index(text))[3] for text in ("Alba", "too long", "Bruma")]
    heights.append(words.get_charbox(said.rindex("too long"))[3])
    assert heights == sorted(heights, reverse=True) and len(set(heights)) == 4
    assert pdf.get_page_label(marks["Cielo"]) == "2"


def test_music_that_begins_on_facing_pages_has_the_title_of_the_book_before_it_without_a_number() -> None:
    book = volume().book
    facing = leaf("solo/02", "Due", long=60)
    assert len(facing.right) == len(facing.left) == 2
    pdf = pypdfium2.PdfDocument(write_book(Volume(book, facing.heading, sections_of(book, (facing,), ()))))
    first = bookmarks(pdf)["Due"] - 1
    assert pdf.get_page_label(first) == "1"
    assert text_of(pdf, first).strip() == "Il libro"


def test_an_empty_page_between_pieces_says_why() -> None:
    book = volume().book
    leaves = (*(leaf(f"solo/{title}", title, long=20) for title in ("1", "2")), leaf("solo/3", "Due", long=60))
    assert [len(one.right) for one in leaves] == [1, 1, 2]
    assert leaves[0].strip is not None and leaves[0].strip.share > 0.5
    pdf = pypdfium2.PdfDocument(write_book(Volume(book, leaves[0].heading, sections_of(book, leaves, ()))))
    empty = bookmarks(pdf)["Due"] - 1
    assert "so that the next piece lies open" in text_of(pdf, empty) and pdf.get_page_label(empty) == "3"


def test_a_piece_may_be_called_as_a_part_of_the_book_is() -> None:
    book = volume().book
    leaves = tuple(leaf(name, name.title(), long=20) for name in ("index", "music", "part-1", "report"))
    pdf = pypdfium2.PdfDocument(write_book(Volume(book, leaves[0].heading, sections_of(book, leaves, ()))))
    contents = re.sub(r"[.\s]+", " ", text_of(pdf, bookmarks(pdf)["Contents"]))
    for number, title in enumerate(("Index", "Music", "Part-1", "Report"), start=1):
        assert f"{title} {number}" in contents
        assert title in text_of(pdf, bookmarks(pdf)["Index"] + number - 1)
    assert contents.endswith("Critical report 5 Titles and first lines 6 iii")


def test_what_holds_of_most_pieces_is_said_once_in_the_report(pdf: Any) -> None:
    said = "".join(text_of(pdf, page) for page in range(bookmarks(pdf)["Critical report"], len(pdf)))
    said = re.sub(r"\s+", " ", said)
    assert said.count("The staves are written in the note values of the source") == 1
    assert said.count("unless it is said otherwise of a piece") == 1
    halved = leaf_of(
        SourceText.of("h.intav", SOLO.format("Metà", "X", "").replace("metre C", "metre C\nvalues 1:2")), (), "h"
    )
    two = Volume(volume().book, volume().heading, (Section("", (halved, leaf("solo/01", "Alba"))),))
    assert (words.values_said(two), words.decided(halved, two).partition(".")[0]) == (
        "",
        "The staves are written with the note values of the source halved",
    )
    three = replace(two, sections=(*two.sections, Section("", (leaf("solo/03", "Cielo"),))))
    assert words.values_said(three) and "halved" in words.decided(halved, three)


def test_title_and_imprint(pdf: Any) -> None:
    assert "Il libro" in text_of(pdf, 0) and "Edited by E. B." in text_of(pdf, 0)
    imprint = text_of(pdf, 1)
    assert "A press, a town" in imprint and "CC BY 4.0" in imprint and "Edition 1.2, 30 November 2026" in imprint
    assert pdf.get_metadata_dict()["Title"] == "Il libro"
    assert pdf.get_metadata_dict()["Author"] == "E. B."


def test_every_font_stands_in_the_file() -> None:
    names = set(re.findall(rb"/BaseFont /(\S+)", made()))
    assert names and all(re.fullmatch(rb"[A-Z]+\+Longneck\S*", name) for name in names), names
    assert made().count(b"/FontFile2") >= len(names)


def test_the_same_volume_gives_the_same_bytes() -> None:
    assert write_book(volume()) == made()


def test_a_volume_of_nothing_but_missing_pieces_is_made() -> None:
    lost = (Missing("x", "Lost", "it could not be made"),)
    book = volume().book
    empty = replace(volume(), sections=sections_of(book, (), lost), introduction=None)
    pdf = pypdfium2.PdfDocument(write_book(empty))
    assert "it could not be made" in text_of(pdf, 2)
