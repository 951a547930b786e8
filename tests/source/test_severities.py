"""Severity lines of the heading: what they may say, and how far each reaches."""

from __future__ import annotations

import pytest

from pipeline.edition.leading import check_piece
from pipeline.findings.codes import ALL
from pipeline.model.diagnostics import Diagnostic, Severity
from pipeline.model.text import SourceText
from pipeline.source.encoding import write_encoding
from pipeline.source.parse import parse

HEAD = "longneck 1\ninstrument theorbo in A\nmetre C\n"
MUSIC = "\n| 2=7,3:0\n"  # a bar too short


def checked(own: str = "", *headings: tuple[str, str]) -> dict[str, list[Diagnostic]]:
    """The findings by code; ``headings`` are (name, lines), outermost first."""
    piece = SourceText.of("a/b/1.intav", f"{HEAD}{own}{MUSIC}")
    outer = tuple(SourceText.of(name, f"longneck 1\n{lines}") for name, lines in headings)
    found: dict[str, list[Diagnostic]] = {}
    for one in check_piece(piece, outer):
        found.setdefault(one.code.slug, []).append(one)
    return found


def severity(found: dict[str, list[Diagnostic]], slug: str = "bar-too-short") -> Severity:
    (one,) = found[slug]
    return one.severity


@pytest.mark.parametrize("level", Severity)
def test_each_level(level: Severity) -> None:
    found = checked(f"severity bar-too-short = {level.value}\n")
    assert severity(found) is level
    assert set(found) == {"bar-too-short"}


def test_the_default_is_that_of_the_code() -> None:
    (one,) = checked("remark One line\n")["bar-too-short"]
    assert (one.severity, one.declared) == (Severity.ERROR, None)
    (said,) = checked("severity bar-too-short = error\n")["bar-too-short"]
    assert said == one  # declared or not, the same finding


def test_the_nearer_line_wins() -> None:
    outer = ("heading.intav", "severity bar-too-short = note\n")
    inner = ("a/heading.intav", "severity bar-too-short = warning\n")
    assert severity(checked("", outer)) is Severity.NOTE
    assert severity(checked("", outer, inner)) is Severity.WARNING
    assert severity(checked("severity bar-too-short = error\n", outer, inner)) is Severity.ERROR


def test_a_piece_does_not_weigh_what_is_wrong_in_its_folders_heading() -> None:
    """A heading is read with every piece below it; what is wrong in it must not change from piece to piece."""
    outer = ("heading.intav", "stems wrong\n")
    inner = ("a/heading.intav", "pitch wrong\nseverity heading-value = warning\n")
    found = checked("severity heading-value = note\nvalues wrong\n", outer, inner)["heading-value"]
    assert [(one.span.file, one.severity) for one in found] == [
        ("a/b/1.intav", Severity.NOTE),
        ("a/heading.intav", Severity.WARNING),
        ("heading.intav", Severity.ERROR),
    ]


def test_a_line_of_an_outer_heading_holds_there_though_an_inner_one_speaks_otherwise() -> None:
    outer = ("heading.intav", "stems wrong\nseverity heading-value = note\n")
    inner = ("a/heading.intav", "pitch wrong\nseverity heading-value = warning\n")
    found = checked("", outer, inner)["heading-value"]
    assert {one.span.file: one.severity for one in found} == {
        "heading.intav": Severity.NOTE,
        "a/heading.intav": Severity.WARNING,
    }


@pytest.mark.parametrize(
    ("line", "columns", "message"),
    [
        ("severity bar-to-short = note", (1, 29), "There is no kind of finding called “bar-to-short”."),
        ("severity wide-stretch = off", (25, 28), "Expected error, warning or note, not “off”."),
        ("severity wide-stretch = Error", (25, 30), "Expected error, warning or note, not “Error”."),
        (
            "severity cannot-write = note",
            (1, 29),
            "The severity of cannot-write cannot be set: it concerns the file or the program.",
        ),
    ],
)
def test_lines_that_cannot_be_meant(line: str, columns: tuple[int, int], message: str) -> None:
    (one,) = checked(f"{line}\n")["severity"]
    assert (one.span.line, one.span.start, one.span.end, one.message) == (4, *columns, message)
    assert one.hint


def test_said_twice_the_first_holds() -> None:
    found = checked("severity bar-too-short = note\nseverity bar-too-short = warning\n")
    assert severity(found) is Severity.NOTE
    assert "heading-repeated" in found


def test_the_formatter_keeps_them_in_their_place() -> None:
    typed = f"longneck 1\nseverity bar-too-short = note\ninstrument theorbo in A\nremark Seen\n{MUSIC}"
    tidied = f"longneck 1\ninstrument theorbo in A\nseverity bar-too-short = note\nremark Seen\n{MUSIC}"
    assert write_encoding(parse(SourceText.of("1.intav", typed)).value) == tidied


def test_what_speaks_of_files_and_of_the_program_is_fixed() -> None:
    """Every finding whose example cannot be typed for want of a file or machine, and nothing of the music."""
    fixed = {slug for slug, code in ALL.items() if code.fixed}
    assert {"internal-fault", "cannot-write", "file-unreadable", "not-utf8", "out-of-time", "program-died"} <= fixed
    assert all(ALL[slug].severity is Severity.ERROR for slug in fixed)
    assert not fixed & {"bar-too-short", "syntax", "heading-value", "severity"}
