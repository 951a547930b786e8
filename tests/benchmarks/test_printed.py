"""The figures of the READMEs are those that their commands printed."""

from __future__ import annotations

from tests.benchmarks.printed import COMMANDS, READMES, differing, disagreements, numbers, read_kept


def test_the_readmes_say_what_was_printed() -> None:
    sections = read_kept()
    assert sections.keys() <= COMMANDS.keys()
    assert any("<!-- printed: " in file.read_text(encoding="utf-8") for file in READMES)
    assert list(disagreements(sections)) == []


def test_what_is_kept_says_where_it_comes_from() -> None:
    for name, text in read_kept().items():
        command, circumstances, end = text.splitlines()[:3]
        assert command == f"python -m {COMMANDS[name]}"
        assert "cores" in circumstances and "Python 3." in circumstances and circumstances.startswith("20")
        assert end.startswith("exit code ")


def test_a_figure_that_was_not_printed_is_found() -> None:
    sections = {"scale": "python -m x\n2026\n\n2,000 pieces in 12.5 s, .98 of them\n"}
    right = "a\n<!-- printed: scale -->\n2000 pieces (aim 3,000), 12.5 s, `--most 7`, .98\n<!-- end --> 44"
    assert list(differing("R", right, sections)) == []
    (wrong,) = differing("R", right.replace("12.5", "12.6"), sections)
    assert (wrong.line, wrong.said) == (2, "12.6 was not printed by scale")
    (unknown,) = differing("R", right.replace("scale", "folder"), sections)
    assert unknown.said == "folder: nothing printed is kept"


def test_numbers() -> None:
    assert numbers("1,443 stops, .982 and 1.000; −.38, 12 of 17") == [1443, 0.982, 1, 0.38, 12, 17]
