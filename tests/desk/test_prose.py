"""Texts of a book. Source: the CommonMark specification 0.31 for what is a list, a heading, emphasis."""

from __future__ import annotations

import pytest

from pipeline.desk.volume.prose import BULLET, read_prose
from pipeline.desk.volume.record import BlockKind, Run
from pipeline.model.text import SourceText


def read(text: str) -> tuple[str, list[tuple[str, int, str, str]], list[tuple[int, str]]]:
    """Title, blocks as (kind, level, marker, words), findings as (line, message)."""
    outcome = read_prose(SourceText.of("front.md", text), "Untitled")
    blocks = [(one.kind.value, one.level, one.marker, one.text) for one in outcome.value.blocks]
    return outcome.value.title, blocks, [(one.span.line, one.message) for one in outcome.diagnostics]


def test_the_first_heading_is_the_title() -> None:
    assert read("# On the book\n\nIt is old.\n") == ("On the book", [("paragraph", 0, "", "It is old.")], [])


def test_without_one_the_title_is_that_of_the_heading_line() -> None:
    assert read("## Below\n") == ("Untitled", [("heading", 2, "", "Below")], [])


def test_lists_in_lists_keep_their_markers() -> None:
    _, blocks, found = read("1. one\n2. two\n   - deeper\n\n     goes on\n3. three\n")
    assert blocks == [
        ("item", 1, "1.", "one"),
        ("item", 1, "2.", "two"),
        ("item", 2, BULLET, "deeper"),
        ("item", 2, "", "goes on"),
        ("item", 1, "3.", "three"),
    ]
    assert not found


def test_words_keep_their_look_and_their_links() -> None:
    outcome = read_prose(SourceText.of("x.md", "a *b* **c** [d](https://example.org/d)\ne"), "")
    (block,) = outcome.value.blocks
    assert block.kind is BlockKind.PARAGRAPH and not outcome.diagnostics
    assert block.runs == (
        Run("a "),
        Run("b", italic=True),
        Run(" "),
        Run("c", bold=True),
        Run(" "),
        Run("d", href="https://example.org/d"),
        Run(" "),
        Run("e"),
    )


@pytest.mark.parametrize(
    ("text", "line", "message", "words"),
    [
        ("a\n\nb\n![x](y.png) c", 4, "The image y.png is not printed.", "b  c"),
        ("a\n\nsee [b](other.md)", 3, "The link to other.md leads nowhere from a printed book.", "see b"),
        ("a\n\n<b>bold</b>", 3, "<b> is HTML, which is not printed.", "bold"),
        ("a\n\nwrite `3:5` here", 3, "Code is printed as plain words.", "write 3:5 here"),
        ("a\n\n```\n| 4=3:5\n```\n", 3, "Code is printed as plain words.", "| 4=3:5"),
        ("a\n\n[x](javascript:alert(1))", 3, None, None),
    ],
)
def test_what_is_not_printed_is_told_at_its_line(text: str, line: int, message: str | None, words: str | None) -> None:
    _, blocks, found = read(text)
    if message is None:  # CommonMark itself makes no link of it
        assert all(
            "javascript" not in run.href
            for block in read_prose(SourceText.of("x", text), "").value.blocks
            for run in block.runs
        )
        return
    assert (line, message) in found
    assert blocks[-1][3] == words


def test_a_block_of_html_is_left_out() -> None:
    _, blocks, found = read("a\n\n<div>\nx\n</div>\n\nb\n")
    assert [block[3] for block in blocks] == ["a", "b"]
    assert found == [(3, "HTML is not printed.")]
