"""Positions, changes of whole texts, and findings that still stand: laws over any text."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lsprotocol import types as lsp
from pygls.workspace import PositionCodec

from pipeline.desk.converse.record import TextChange
from pipeline.desk.converse.rewriting import applied, rewritten, tidied
from pipeline.desk.converse.standing import still_standing
from pipeline.desk.converse.units import Paper, Units
from pipeline.findings.codes.syntax import SYNTAX
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.text import SourceText, Span
from pipeline.source.encoding import write_encoding
from pipeline.source.parse import parse

#: Letters beyond the first plane, marks that join the letter before, ends of lines, and separators that are none here.
CHARACTERS = "a3:é\u0301𝄞😀\u200d\ufe0f\u2028\x0b\x85 \t"
lines = st.text(st.sampled_from(CHARACTERS), max_size=12)
ends = st.sampled_from(["\n", "\r\n", "\r"])
texts = st.lists(st.tuples(lines, ends), max_size=6).map(lambda rows: "".join(map("".join, rows)))
CODECS = {Units.UTF8: ("utf-8", 1), Units.UTF16: ("utf-16-le", 2), Units.UTF32: ("utf-32-le", 4)}


@given(texts, st.data(), st.sampled_from(Units))
def test_a_column_is_as_many_units_as_its_line_takes_in_that_encoding(
    text: str, data: st.DataObject, units: Units
) -> None:
    """LSP 3.17, Position: offsets are code units. Python's own codecs count them."""
    paper = Paper(text)
    number = data.draw(st.integers(1, max(1, paper.count)))
    column = data.draw(st.integers(1, len(paper.line(number)) + 1))
    codec, width = CODECS[units]
    line, offset = paper.position(number, column, units)
    assert (line, offset) == (number - 1, len(paper.line(number)[: column - 1].encode(codec)) // width)
    assert paper.place(line, offset, units) == (number, column)


@given(lines.filter(lambda line: not set(line) & set("\u2028\x0b\x85")), st.integers(0, 40))
def test_offsets_in_utf_16_are_those_of_the_library(line: str, offset: int) -> None:
    """Of an offset within the line that is not in the middle of a character."""
    units = Units.UTF16.of(line)
    starts = {Units.UTF16.of(line[:at]) for at in range(len(line) + 1)}
    if offset > units or offset not in starts:
        return
    codec = PositionCodec(lsp.PositionEncodingKind.Utf16)
    theirs = codec.position_from_client_units([line], lsp.Position(0, offset)).character
    assert Paper(line).place(0, offset, Units.UTF16) == (1, theirs + 1)


def test_an_offset_within_a_character_means_its_beginning_and_one_beyond_the_line_its_end() -> None:
    paper = Paper("a𝄞b\n")
    assert [paper.place(0, offset, Units.UTF16) for offset in range(6)] == [
        (1, 1),
        (1, 2),
        (1, 2),
        (1, 3),
        (1, 4),
        (1, 4),
    ]


def test_a_byte_order_mark_takes_a_place_in_the_editor_alone() -> None:
    paper = Paper("\ufefflongneck 1\n")
    assert paper.line(1) == "longneck 1"
    assert paper.position(1, 1, Units.UTF16) == (0, 1)
    assert paper.place(0, 1, Units.UTF16) == (1, 1)


@pytest.mark.parametrize("separator", ["\u2028", "\u2029", "\x0b", "\x0c", "\x85", "\x1c"])
def test_rarer_separators_end_no_line(separator: str) -> None:
    """LSP 3.17, Text documents: lines end with LF, CR LF or CR only; Python's splitlines knows more."""
    assert Paper(f"a{separator}b\nc").count == 2


@given(texts, texts)
def test_the_changes_make_one_text_of_the_other(before: str, after: str) -> None:
    made = applied(before, rewritten(before, after))
    same = SourceText.of("", made).lines == SourceText.of("", after).lines
    assert same, (before, after, made)


@given(texts)
def test_nothing_is_changed_in_the_same_text(text: str) -> None:
    assert rewritten(text, text) == () or len({end for end in ("\r\n", "\r", "\n") if end in text}) > 1


def test_lines_that_are_the_same_are_not_touched() -> None:
    before = "".join(f"line {number}\n" for number in range(50))
    after = before.replace("line 7\n", "line seven\n").replace("line 30\n", "").replace("line 40\n", "line 40\nmore\n")
    assert rewritten(before, after) == (
        TextChange(8, 1, 9, 1, "line seven\n"),
        TextChange(31, 1, 32, 1, ""),
        TextChange(42, 1, 42, 1, "more\n"),
    )


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_tidying_makes_what_the_command_makes_with_the_line_ends_of_the_editor(end: str) -> None:
    text = "longneck 1\ninstrument theorbo in A\ntitle  Trial\n\n|  2=3:3,X   3:2\n".replace("\n", end)
    source = SourceText.of("a.intav", text)
    wanted = write_encoding(parse(source).value).replace("\n", end)
    assert applied(text, tidied(source, text)) == wanted != text


@given(st.lists(st.sampled_from("abcd"), max_size=8), st.lists(st.sampled_from("abcd"), max_size=8))
def test_a_finding_stands_where_its_line_stands_or_falls(before: list[str], after: list[str]) -> None:
    old, new = SourceText("a", tuple(before)), SourceText("a", tuple(after))
    found = tuple(Diagnostic(SYNTAX, Span("a", number, 1, 2), text) for number, text in enumerate(before, start=1))
    kept = still_standing(found, old, new)
    assert all(new.line(one.span.line) == one.message for one in kept)
    if before == after:
        assert kept == found


def test_findings_below_a_new_line_move_down_with_theirs() -> None:
    old, new = SourceText("a", ("x", "y", "z")), SourceText("a", ("x", "new", "y", "z"))
    found = (Diagnostic(SYNTAX, Span("a", 3, 1, 2), "z"), Diagnostic(SYNTAX, Span("heading", 1, 1, 2), "elsewhere"))
    assert [one.span for one in still_standing(found, old, new)] == [Span("a", 4, 1, 2), Span("heading", 1, 1, 2)]
