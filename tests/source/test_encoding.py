"""The canonical layout, rule by rule."""

from __future__ import annotations

from pathlib import Path

import pytest

from pipeline.model.text import SourceText
from pipeline.source.encoding import write_encoding
from pipeline.source.parse import parse
from tests.source.typed import HEADING

DATA = Path(__file__).parent.parent / "data"


def tidy(text: str) -> str:
    return write_encoding(parse(SourceText.of("trial.intav", text)).value)


def music(lines: str, signs: str = "italian") -> str:
    """The music lines as written, under a heading that is canonical already."""
    heading = HEADING.format(signs=signs)
    written = tidy(heading + lines)
    assert written.startswith(heading)
    return written.removeprefix(heading)


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        ("|  4=3:2   3:3 ", "| 4=3:2 3:3\n"),
        ("| 3:2,10:0,5:3", "| 10:0,5:3,3:2\n"),
        ("| 1:0,X,3:2", "| X,3:2,1:0\n"),
        ('| 3:2"a,X!9\n"a EB: why', '| X!9,3:2"a\n"a EB: why\n'),
        ("| 3:2,!4:5", "| !4:5,3:2\n"),
        ("| 1:0>3:2,4:2", "| 1:0>3:2,4:2\n"),  # one after another: as typed
        ("| ?:2,1:0,3:2", "| ?:2,1:0,3:2\n"),  # a course that nobody knows: as typed
        ("| 4:2,3:2 :3 ,:1", "| 4:2,3:2 3:3 ,:1\n"),  # what cannot be read stays to the letter
        ("| 3:2 :3 !:5 _:2", "| 3:2 3:3 !3:5 _3:2\n"),
        ("| 3:2'T2i", "| 3:2'2iT\n"),
        ("| 3:2'T!'2'i", "| 3:2'2i'T!\n"),
        ("| 3:2'T\"a'2\n\"a EB: why", "| 3:2'2'T\"a\n\"a EB: why\n"),
        ("| 2'fr=3:2", "| 2'fr=3:2\n"),
        ("| 3:2 |", "| 3:2\n"),
        ("| 3:2 || |", "| 3:2 || |\n"),
        ("| 3:2 |!", "| 3:2 |!\n"),
        ("| &4r 3:2 & 3:3", "| &4r 3:2\n+ & 3:3\n"),
        ("| 3:2\n+ 3:3 ||", "| 3:2 3:3 ||\n"),
        ("| ditto   2 ||", "| ditto 2 ||\n"),
        ("|2=X 3:2", "|2=X 3:2\n"),
        ("| 3:2 ;why", "| 3:2 ;why\n"),
        ("| 3:2 ; one\n+ 3:3 ; two", "| 3:2 3:3 ; one ; two\n"),
    ],
)
def test_bars(typed: str, written: str) -> None:
    assert music(typed) == written


@pytest.mark.parametrize(
    "line",
    ["| /a,4c,3b,2b", "| 2='4=//a- 5:-,3d", "| 6:?!6c ?:b !_3r ?", "| a.,6b.. 4!5 /a!//a", "| 's=a 'u=4 5==x"],
)
def test_french_words_stay(line: str) -> None:
    assert music(line, "french") == f"{line}\n"


def test_lines_of_a_bar_in_order() -> None:
    typed = """\
| 3:2"b 3:3"a
"b EB: second
!B 3:2 3:2
b 4=D3
c D
2 Oh
v 4=D5
c G
1 Ah
2 Oh
" EB: crowded
! 3:3 3:2
"a EB: first
"""
    assert (
        music(typed)
        == """\
| 3:2"b 3:3"a
2 Oh
v 4=D5
c G
1 Ah
2 Oh
b 4=D3
c D
!B 3:2 3:2
! 3:3 3:2
" EB: crowded
"a EB: first
"b EB: second
"""
    )


def test_chords_over_the_tablature_come_first() -> None:
    assert music("| 3:2\nc D\nv 4=D5\nc G") == "| 3:2\nc D\nv 4=D5\nc G\n"


def test_long_lines_are_broken_between_events() -> None:
    words = ["4:2,3:2,2:0,1:0"] * 14
    lines = music(f"| {' '.join(words)}").splitlines()
    assert [line.split()[0] for line in lines] == ["|", "+", "+"]
    assert all(len(line) <= 100 for line in lines)
    assert len(lines[0]) + 1 + len(words[0]) > 100, "a line is filled before it is broken"
    assert [word for line in lines for word in line.split()[1:]] == words


def test_blank_lines() -> None:
    typed = "| 3:2\n\n\n| 3:3\nsection A\n| 3:2\n; a word on the page\n&4r\n| 3:3\n&\n| 3:2\ntempo adagio\n| 3:2\n"
    assert music(typed) == (
        "| 3:2\n| 3:3\n\nsection A\n| 3:2\n\n; a word on the page\n&4r\n| 3:3\n&\n| 3:2\ntempo adagio\n| 3:2\n"
    )


def test_comments_stay_with_their_bar() -> None:
    assert music("| 3:2\n; on the voice\nv 4=D5\n; on the next bar\n| 3:3") == (
        "; on the voice\n| 3:2\nv 4=D5\n; on the next bar\n| 3:3\n"
    )


def test_unread_lines_stay_to_the_letter() -> None:
    assert music("| 3:2\n  what   is this\n+ and this \n| 3:3") == "| 3:2\n  what   is this\n+ and this\n| 3:3\n"


def test_notes_and_pins() -> None:
    typed = '| 3:2"a 3:2"b\n"a  EB:  a   reason\n"b > lasts 2.,voice 1, octave  up'
    assert music(typed) == '| 3:2"a 3:2"b\n"a EB: a reason\n"b > voice 1, octave up, lasts 2.\n'


def test_heading_in_its_order_with_its_comments() -> None:
    typed = """\
longneck   1 ; by hand
signs italian
; the book itself
source B =   Trial  book
source A = Copy
title X ; or Y
instrument theorbo in A
; last word

| 3:2
"""
    assert (
        tidy(typed)
        == """\
longneck 1 ; by hand
title X ; or Y
; the book itself
source B = Trial book
source A = Copy
instrument theorbo in A
signs italian
; last word

| 3:2
"""
    )


def test_a_heading_that_cannot_all_be_read_keeps_its_order() -> None:
    typed = "longneck 1\nsigns italian\ntitel X\ntitle Y\n"
    assert tidy(typed) == typed


def test_inherited_lines_are_not_written() -> None:
    piece = SourceText.of("x", "longneck 1\ntitle X\n\n| 3:2\n")
    folder = SourceText.of("heading", "longneck 1\ncomposer Y\n")
    assert write_encoding(parse(piece, (folder,)).value) == piece.text


def test_nothing_makes_nothing() -> None:
    assert tidy("") == ""
    assert tidy("longneck 1") == "longneck 1\n"


# --- the two typed pages and the three bars ---------------------------------------------------------------------


@pytest.mark.parametrize("name", ["prelude", "song", "toccata"])
def test_typed_pages(name: str) -> None:
    text = (DATA / f"{name}.intav").read_text(encoding="utf-8")
    outcome = parse(SourceText.of(name, text))
    assert not outcome.diagnostics
    written = write_encoding(outcome.value)
    assert tidy(written) == written
    assert _signs(written) == _signs(text)


def _signs(text: str) -> list[str]:
    """Every character of a page but white space and ``+``, which stands where the layout breaks a line."""
    return sorted(char for char in text if not char.isspace() and char != "+")
