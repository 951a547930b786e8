"""One error among many notes: it comes first, the rest is counted, and a summary ends it all, with or without a
terminal."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.cli.asked import run, write

HEAD = "longneck 1\ntitle Piece\ninstrument theorbo in A\nmetre C\nseverity bar-too-short = note\n\n"
#: Twelve bars, each too short, and not all alike.
SHORT = "| 2=7,4:0,3:0\n| 4=7,4:0,3:0\n| 8=7,4:0,3:0\n" * 4
NOTED = HEAD + SHORT + "| 1=7 |||\n"
BAD = HEAD + SHORT + "| 1=8:1,4:2 |||\n"
SUMMARY = "3 pieces: 1 error, 36 notes.\n"


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    write("1.intav", NOTED)
    write("2.intav", BAD)
    write("3.intav", NOTED)
    return tmp_path


def heads(out: str) -> list[str]:
    """The lines that are not set in."""
    return [line for line in out.splitlines() if not line.startswith(" ")]


def test_one_error_among_many_notes_comes_first_and_the_notes_are_counted(here: Path) -> None:
    code, out, err = run("check", ".")
    assert (code, err) == (1, "") and out.endswith(SUMMARY)
    assert heads(out)[0].startswith("2.intav:19:5  error fretted-diapason  ")
    assert heads(out)[1] == "36 warnings and notes, by kind (--all shows each, and so does a single piece):"
    assert len(out.splitlines()) == 7
    assert re.search(r"^ +36  note bar-too-short +in 3 pieces, first at 1\.intav:7:3$", out, re.MULTILINE)


def test_all_are_shown_where_they_are_asked_for(here: Path) -> None:
    _, out, _ = run("check", ".", "--all")
    assert out.count("  note bar-too-short  ") == 36 and out.endswith(SUMMARY)


def test_a_single_piece_is_told_in_full_its_errors_first(here: Path) -> None:
    _, out, _ = run("check", "2.intav")
    shown = heads(out)
    assert "  error " in shown[0] and len(shown) == 14 and shown[-1] == "1 piece: 1 error, 12 notes."
    assert all("  note bar-too-short  " in line for line in shown[1:-1])


def test_a_few_notes_on_a_folder_are_told_in_full_after_the_errors(here: Path) -> None:
    write("3.intav", HEAD + "| 1=7,4:0,3:0 |||\n")
    write("1.intav", HEAD + "| 2=7,4:0,3:0\n| 1=7 |||\n")
    _, out, _ = run("check", ".")
    shown = heads(out)
    assert "  error " in shown[0] and shown[1].startswith("1.intav:7:3  note ") and len(shown) == 15


def test_a_build_says_where_and_how_much(here: Path) -> None:
    _, out, _ = run("build", ".", "--only", "musicxml")
    assert out.endswith(f"Built into out/. {SUMMARY}") and len(out.splitlines()) == 7


def test_the_summary_stands_beside_a_report_that_takes_standard_output(here: Path) -> None:
    code, out, err = run("check", ".", "--report", "github=-")
    assert (code, err) == (1, SUMMARY) and len(out.splitlines()) == 37


def test_writing_a_baseline_says_how_many_and_shows_none_of_them(here: Path) -> None:
    said = run("check", ".", "--baseline", "known.json", "--write-baseline")
    assert said == (0, "3 pieces: 37 known.\n", "longneck: known.json holds 37 known findings\n")
