"""``longneck programme``: order of the pieces, exit codes, files, faulty pieces."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import pytest

from tests.cli.asked import run as asked

HEAD = "longneck 1\ntitle {}\ninstrument theorbo in A\nmetre none\n{}\n| 1=8,3:0\n"


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / ".git").mkdir()
    monkeypatch.chdir(tmp_path)
    for name, lines in (("a", ""), ("b", "diapasons 8 = F#2\n"), ("c", ""), ("book/d", ""), ("book/e", "")):
        Path(name).parent.mkdir(exist_ok=True)
        Path(f"{name}.intav").write_text(HEAD.format(Path(name).name, lines), encoding="utf-8")


run = partial(asked, "programme")


def titles(shown: str) -> str:
    return "".join(line.split(". ")[1][0] for line in shown.splitlines() if line[:1].isdigit() and ". " in line)


def test_pieces_in_the_order_typed_a_folder_in_that_of_its_names() -> None:
    code, shown, said = run("c.intav", "book", "a.intav", "c.intav")
    assert (code, said, titles(shown)) == (0, "", "cdeac")


def test_the_order_with_the_fewest_retunings() -> None:
    assert titles(run("a.intav", "b.intav", "c.intav")[1]) == "abc"
    code, shown, _ = run("a.intav", "b.intav", "c.intav", "--fewest")
    assert (code, titles(shown)) == (0, "acb")
    assert "Strings that move between pieces: 1; in the order given: 2. No order has fewer." in shown


def test_page_and_paper() -> None:
    assert run("a.intav", "b.intav", "--page", "s.html", "--pdf", "s.pdf", "--paper", "letter")[0] == 0
    assert Path("s.html").read_bytes().startswith(b"<!DOCTYPE html>")
    assert Path("s.pdf").read_bytes().startswith(b"%PDF")
    first = Path("s.html").read_bytes(), Path("s.pdf").read_bytes()
    run("a.intav", "b.intav", "--page", "s.html", "--pdf", "s.pdf", "--paper", "letter")
    assert (Path("s.html").read_bytes(), Path("s.pdf").read_bytes()) == first


def test_one_pitch_for_all() -> None:
    assert "A4 = 392 Hz" in run("a.intav", "--pitch", "392")[1]
    code, shown, said = run("a.intav", "--pitch", "4400")
    assert (code, shown) == (2, "") and "between 300 and 600 Hz" in said


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("missing.intav",), "there is no missing.intav"),
        (("empty",), "no pieces (*.intav) in empty"),
        (("a.intav", "--page", "nowhere/s.html"), "cannot be written"),
    ],
)
def test_questions_that_make_no_sense(arguments: tuple[str, ...], said: str) -> None:
    Path("empty").mkdir()
    code, _, complaint = run(*arguments)
    assert code == 2 and said in complaint


def test_faults_that_bear_on_the_tuning_are_shown_at_their_place() -> None:
    Path("a.intav").write_text(HEAD.format("a", "diapasons 8 = H2\n") + "| 1=8:1\n", encoding="utf-8")
    code, shown, said = run("a.intav", "b.intav")
    assert code == 1 and titles(shown) == "ab"
    assert said.startswith("a.intav:5:15  error tuning") and "fretted" not in said
    assert said.endswith("a.intav: 1 other errors; longneck check shows them\n")


def test_a_file_that_cannot_be_read_leaves_the_others() -> None:
    Path("a.intav").write_bytes(b"longneck 1\ntitle \xff\n")
    code, shown, said = run("a.intav", "b.intav")
    assert code == 1 and titles(shown) == "b" and "a.intav:2:7  error not-utf8" in said
