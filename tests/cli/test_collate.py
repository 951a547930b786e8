"""``longneck collate``: what it writes and where, what it refuses; exit codes."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pytest

from tests.cli.asked import passes, write
from tests.cli.asked import run as asked

run = partial(asked, "collate")
HEADING = "longneck 1\ntitle {title}\n{sources}instrument theorbo in A\nmetre C\n\n"
ONE = "| 2=3:0 3:2\n| 1=3:3 |||\n"
TWO = "| 2=3:0 2:2\n| 1=3:3 |||\n"


def text(music: str, title: str = "Trial", sources: str = "") -> str:
    return HEADING.format(title=title, sources=sources) + music


def now(path: str) -> str:
    return Path(path).read_text(encoding="utf-8")


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    write("one.intav", text(ONE, sources="source A = Print\n"))
    write("two.intav", text(TWO, "Copy"))


def test_the_readings_are_written_into_the_text_and_listed() -> None:
    assert run("one.intav", "two.intav") == (
        0,
        "two.intav: B = Copy\n"
        "    Bar 1  (line 8)\n"
        '        "a !B 2:2\n'
        "    2 bars collated: 1 differs in sound.\n"
        "one.intav  written\n",
        "",
    )
    wanted = text('| 2=3:0 3:2"a\n"a !B 2:2\n| 1=3:3 |||\n', sources="source A = Print\nsource B = Copy\n")
    assert now("one.intav") == wanted
    assert passes("check", "one.intav")
    assert asked("tidy", "--check", "one.intav")[0] == 0
    assert run("one.intav", "two.intav")[1].endswith("one.intav  unchanged\n")
    assert now("one.intav") == wanted


def test_each_source_comes_out_again() -> None:
    run("one.intav", "two.intav")
    assert run("one.intav", "--take", "B", "--out", "again.intav") == (0, "again.intav  written\n", "")
    assert now("again.intav") == text("| 2=3:0 2:2\n| 1=3:3 |||\n", sources="source B = Copy\n")
    assert asked("compare", "again.intav", "two.intav")[0] == 0
    assert run("one.intav", "--take", "A", "--out", "first.intav")[0] == 0
    assert now("first.intav") == text(ONE, sources="source A = Print\n")
    code, out, _ = run("one.intav", "--take", "C", "--out", "third.intav")
    assert (code, "No source C is declared." in out, Path("third.intav").exists()) == (1, True, False)


def test_a_check_writes_nothing() -> None:
    before = now("one.intav")
    code, out, err = run("one.intav", "two.intav", "--check")
    assert (code, err, "1 differs in sound" in out, "written" in out) == (1, "", True, False)
    assert now("one.intav") == before
    run("one.intav", "two.intav")
    assert run("one.intav", "two.intav", "--check")[0] == 0


def test_another_file_can_be_written_but_not_over_another_text() -> None:
    before = now("one.intav")
    assert run("one.intav", "two.intav", "--out", "both.intav")[1].endswith("both.intav  written\n")
    assert now("one.intav") == before
    code, _, err = run("one.intav", "two.intav", "--out", "two.intav")
    assert (code, err) == (1, "longneck: two.intav holds another text; it is left as it is\n")


def test_several_sources_at_once_have_sigla_of_their_own() -> None:
    write("three.intav", text(ONE.replace("3:2", "3:1"), "Third"))
    assert run("one.intav", "two.intav", "three.intav")[0] == 0
    assert now("one.intav").splitlines()[2:5] == ["source A = Print", "source B = Copy", "source C = Third"]
    assert '"a !B 2:2\n"a !C 3:1' in now("one.intav")


def test_sigla_are_those_asked_for_or_those_that_the_sources_have() -> None:
    write("two.intav", text(TWO, sources="source Ro = Rome, MS 2\n"))
    assert run("one.intav", "two.intav")[1].startswith("two.intav: Ro = Rome, MS 2\n")
    assert run("one.intav", "two.intav", "--siglum", "X", "--out", "x.intav")[1].startswith("two.intav: X = Rome, MS 2")


def test_an_inherited_source_stays_the_copy_text() -> None:
    write("heading.intav", "longneck 1\nsource A = Print\n")
    write("one.intav", text(ONE))
    assert run("one.intav", "two.intav")[0] == 0
    assert now("one.intav").splitlines()[2:4] == ["source A = Print", "source B = Copy"]


def test_what_no_reading_says_is_told() -> None:
    write("two.intav", text(f"tempo Presto\n{TWO}", "Copy"))
    code, out, _ = run("one.intav", "two.intav")
    assert code == 0
    assert "Between bars, tempo: nothing here, Presto there (bar 1): it differs, and is not written." in out


def test_texts_that_cannot_be_read_are_refused_with_their_findings() -> None:
    before = now("one.intav")
    write("two.intav", text("| 2=3:0 2;2\n| 1=3:3 |||\n"))
    code, out, _ = run("one.intav", "two.intav")
    assert (code, "error syntax" in out, now("one.intav")) == (1, True, before)
    write("two.intav", b"\xff\xfe\x00")
    assert run("one.intav", "two.intav")[0] == 1
    assert now("one.intav") == before


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["one.intav"], "name the text, and at least one other source of the piece"),
        (["one.intav", "none.intav"], "there is no none.intav"),
        (["one.intav", "."], ". is a folder; name pieces"),
        (["one.intav", "one.intav"], "the same file is named twice"),
        (["one.intav", "two.intav", "--siglum", "B", "--siglum", "C"], "--siglum is given more often than"),
        (["one.intav", "two.intav", "--siglum", "b"], "--siglum b: a siglum begins with a capital"),
        (["one.intav", "two.intav", "--siglum", "A"], "--siglum A is the source that one.intav follows"),
        (["one.intav", "two.intav", "--out", "x.txt"], "--out x.txt does not have the name of a piece"),
        (["one.intav", "two.intav", "--check", "--out", "x.intav"], "--check writes nothing"),
        (["one.intav", "--take", "B"], "--take needs --out"),
        (["one.intav", "two.intav", "--take", "B"], "--take goes with one text and --out alone"),
    ],
)
def test_wrong_usage_is_refused(arguments: list[str], message: str) -> None:
    code, out, err = run(*arguments)
    assert (code, out) == (2, "")
    assert err.startswith(f"longneck: {message}")
