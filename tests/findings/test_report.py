"""How one finding looks."""

from __future__ import annotations

from pipeline.cli.show import finding_lines, summary
from pipeline.cli.show.progress import rate
from pipeline.model.diagnostics import Code, Diagnostic, Related, Severity
from pipeline.model.text import SourceText, Span

CODE = Code("some-slip", Severity.WARNING, "", "", "", "")


def shown(text: str, start: int, end: int, hint: str = "", related: int = 0) -> list[str]:
    source = SourceText.of("a.intav", text)
    places = tuple(Related(Span("a.intav", 1, n + 1, n + 2), "also") for n in range(related))
    finding = Diagnostic(CODE, Span("a.intav", 1, start, end), "Said.", hint, places)
    return [line.plain for line in finding_lines(finding, {"a.intav": source})]


def test_a_finding_under_its_line() -> None:
    assert shown("| 4=3:0 3:2", 9, 12, "Do this.") == [
        "a.intav:1:9  warning some-slip  Said.",
        "    | 4=3:0 3:2",
        "            ‾‾‾",
        "    Do this.",
    ]


def test_a_place_between_two_signs_gets_one_stroke() -> None:
    assert shown("| 4=3:0", 8, 8)[1:] == ["    | 4=3:0", "           ‾"]


def test_an_empty_line_or_an_unknown_file_is_not_shown() -> None:
    assert shown("", 1, 1) == ["a.intav:1:1  warning some-slip  Said."]
    finding = Diagnostic(CODE, Span("b.intav", 1, 1, 2), "Said.")
    assert [line.plain for line in finding_lines(finding, {})] == ["b.intav:1:1  warning some-slip  Said."]


def test_tabs_and_wide_letters_do_not_shift_the_stroke() -> None:
    assert shown("|\t4=3:0 3:2", 9, 12)[1:] == ["    | 4=3:0 3:2", "            ‾‾‾"]
    assert shown("title 琵琶 x", 10, 11)[1:] == ["    title 琵琶 x", "               ‾"]


def test_a_long_line_is_cut_around_the_place() -> None:
    text = "| " + " ".join(f"{n:03d}" for n in range(400))
    start = text.index("200") + 1
    _, line, stroke = shown(text, start, start + 3)
    assert len(line) <= 120
    assert line.startswith("    …") and line.endswith("…")
    assert line[stroke.index("‾") : stroke.index("‾") + 3] == "200"
    _, line, stroke = shown(text, len(text) - 2, len(text) + 1)
    assert line[stroke.index("‾") :] == "399"


def test_signs_that_command_a_terminal_are_replaced() -> None:
    assert shown("a\x1b[2Jb", 1, 2)[1] == "    a\ufffd[2Jb"


def test_many_other_places_are_counted() -> None:
    lines = shown("| 4=3:0 3:2 3:3", 3, 4, related=7)
    assert lines[3:] == [*(f"    a.intav:1:{n}  also" for n in range(1, 5)), "    and 3 other places"]
    assert shown("| 4=3:0 3:2 3:3", 3, 4, related=5)[-1] == "    and 1 other place"


def test_the_summary() -> None:
    assert summary(1, {}) == "1 piece: nothing to report."
    assert summary(12, {Severity.WARNING: 1, Severity.ERROR: 2, Severity.NOTE: 0}) == "12 pieces: 2 errors, 1 warning."


def test_rates_in_words() -> None:
    assert [rate(speed) for speed in (0.0, 0.2, 1.0, 3.456, 25.2)] == [
        "",
        "5 s each",
        "1.0 a second",
        "3.5 a second",
        "25 a second",
    ]
