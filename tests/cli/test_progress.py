"""``longneck progress``, and what a build does with marks beside a piece."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from pipeline.desk.proof.reading import bar_texts
from pipeline.model.text import SourceText
from tests.cli.asked import run

PIECE = "longneck 1\ntitle A\ninstrument theorbo in A\nmetre C\n\n|< 4=3:0\n| 1=7\n| 1=8\n| 1=9\n| 1=X |||\n"


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / ".git").mkdir()
    for name in ("a", "b"):
        (tmp_path / f"{name}.intav").write_text(PIECE, encoding="utf-8")
    contents = [bar.content for bar in bar_texts(SourceText.of("a", PIECE))]
    marks = {"form": 1, "piece": "a", "read": [*contents[1:3], "gone"],
             "notes": [{"bar": "4", "content": contents[4], "text": "look at the dot"}]}  # fmt: skip
    (tmp_path / "a.read.json").write_text(json.dumps(marks), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_what_is_read_what_is_left_and_the_notes(book: Path) -> None:
    code, out = run("progress", ".")[:2]
    assert code == 0
    assert out.splitlines() == [
        "a.intav  2 of 5 bars read; left: upbeat, 3–4; 1 changed since it was read",
        "    bar 4: look at the dot",
        "b.intav  not begun",
        "2 of 5 bars read in 1 piece; 1 piece not begun.",
    ]


def test_marks_that_cannot_be_read_stop_nothing(book: Path) -> None:
    (book / "a.read.json").write_text('{"form": 1,\n nonsense}', encoding="utf-8")
    code, out = run("progress", ".")[:2]
    assert code == 0
    assert "a.read.json:2:2  warning marks-unreadable" in out and "b.intav  not begun" in out


def test_a_build_keeps_up_with_the_marks(book: Path) -> None:
    """They stand on the page, are counted for the index, and a new state of them is a reason to build again."""
    assert run("build", ".", "--only", "proof")[0] == 0
    assert json.loads((book / "out/a/progress.json").read_bytes())["read"] == 2
    assert not (book / "out/b/progress.json").exists()
    index = (book / "out/index.html").read_text(encoding="utf-8")
    assert "2 of 5 bars" in index and "<progress" in index
    (book / "a.read.json").unlink()
    assert run("build", ".", "--only", "proof")[0] == 0
    assert not (book / "out/a/progress.json").exists()
    assert "<progress" not in (book / "out/index.html").read_text(encoding="utf-8")
