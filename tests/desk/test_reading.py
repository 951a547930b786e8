"""Marks of proof-reading: by what bars hold, and their file."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.desk.proof.reading import Marks, Note, NotMarksError, bar_texts, progress_of, read_marks
from pipeline.model.text import SourceText

BARS = ("| 4=X,4:2,3:3 3:5", "| 2=7,3:0", '| 4=8:0 3:2"a\n"a EB: so', "section Maggiore\n| 1=X |||")


def contents(*bars: str) -> list[str]:
    return [
        bar.content for bar in bar_texts(SourceText.of("x.intav", "longneck 1\nmetre C\n\n" + "\n".join(bars) + "\n"))
    ]


def test_white_space_and_comments_are_no_content() -> None:
    spaced = ("|  4=X,4:2,3:3   3:5 ; as in the print", "; a comment", "| 2=7,3:0", *BARS[2:])
    assert contents(*spaced) == contents(*BARS)


def test_a_bar_loses_its_mark_when_a_sign_a_line_under_it_or_a_line_before_it_changes() -> None:
    read = Marks(tuple(contents(*BARS)))
    for place, changed in (
        (0, "| 4=X,4:2,3:3 3:3"), (2, '| 4=8:0 3:2"a\n"a EB: otherwise'), (3, "section Minore\n| 1=X |||"),
    ):  # fmt: skip
        bars = [*BARS[:place], changed, *BARS[place + 1 :]]
        text = SourceText.of("x.intav", "longneck 1\n" + "\n".join(bars) + "\n")
        found = progress_of(bar_texts(text), read)
        assert (found.bars, found.read, found.changed) == (4, 3, 1)
        assert text.line(found.left[0]).startswith("| ")


def test_the_heading_belongs_to_no_bar_and_bars_may_move() -> None:
    text = SourceText.of("x.intav", "longneck 1\ntitle Other\nmetre 3/2\n\n| 1=7\n" + "\n".join(BARS) + "\n")
    found = progress_of(bar_texts(text), Marks(tuple(contents(*BARS))))
    assert (found.read, found.left, found.changed) == (4, (5,), 0)


def test_bars_that_hold_the_same_are_told_apart() -> None:
    same = contents("| 2=7", "| 2=7", "| 2=7")
    assert len(set(same)) == 3 and same[2] == f"{same[0]}.3"


@given(st.lists(st.sampled_from(["| 2=7", "| 2=8", "v 2=D5", '"a EB: x', "", "; c", "&4r", "metre 3/2"]), max_size=30))
def test_every_bar_has_its_own_content(lines: list[str]) -> None:
    bars = bar_texts(SourceText.of("x.intav", "\n".join(lines)))
    assert [bar.line for bar in bars] == [n for n, line in enumerate(lines, start=1) if line.startswith("|")]
    assert len({bar.content for bar in bars}) == len(bars)


def test_the_file() -> None:
    note = {"bar": "2", "content": "b", "text": "dot?"}
    found = read_marks(json.dumps({"form": 1, "piece": "x", "read": ["a", "a"], "notes": [note]}).encode())
    assert found == Marks(("a",), (Note("2", "b", "dot?"),))


@pytest.mark.parametrize(
    ("data", "said", "place"),
    [
        (b'{"form": 1,\n "read": [}', "it is not JSON", (2, 11)),
        (b"\xff", "it is not UTF-8", (1, 1)),
        (b"[]", "no file of marks", (1, 1)),
        (b'{"form": 2}', "another version", (1, 1)),
        (b'{"form": 1, "read": [1]}', "not a list of contents", (1, 1)),
        (b'{"form": 1, "notes": [{"bar": 1}]}', "note 1 has no", (1, 1)),
        (b"[" * 100_000, "nested too deeply", (1, 1)),
        (b" " * (2**20 + 1), "more than 1 MB", (1, 1)),
    ],
)
def test_what_is_no_such_file_says_why_and_where(data: bytes, said: str, place: tuple[int, int]) -> None:
    with pytest.raises(NotMarksError, match=said) as caught:
        read_marks(data)
    assert (caught.value.line, caught.value.column) == place
