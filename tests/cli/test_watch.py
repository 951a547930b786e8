"""What a watch says: everything the first time, afterwards what is new and what is mended."""

from __future__ import annotations

import io

import pytest

from pipeline.cli.show import console
from pipeline.cli.watch import _show, _Told
from pipeline.findings.codes.bars import BAR_TOO_SHORT
from pipeline.findings.codes.syntax import SYNTAX
from pipeline.folder.batch import Done
from pipeline.folder.watching import Round
from pipeline.model.diagnostics import Code, Diagnostic
from pipeline.model.text import Span


def finding(line: int, message: str, code: Code = SYNTAX) -> Diagnostic:
    return Diagnostic(code, Span("a.intav", line, 1, 2), message)


def said(told: _Told, *found: Diagnostic, first: bool = False) -> list[str]:
    """The lines after the name of the piece."""
    stream = io.StringIO()
    _show(console(stream), Round((Done("a.intav", diagnostics=found),), (), 0.5), told, first=first)
    return [line.strip() for line in stream.getvalue().splitlines()]


def test_the_first_time_everything_is_told() -> None:
    assert said(_Told(), finding(3, "One."), finding(4, "Two."), first=True) == [
        "a.intav  2 errors.",
        "a.intav:3:1  error syntax  One.",
        "a.intav:4:1  error syntax  Two.",
        "Built in 0.50 s.",
    ]


def test_afterwards_what_is_new_and_what_is_mended() -> None:
    told = _Told()
    said(told, finding(3, "One."), finding(4, "Two."), first=True)
    assert said(told, finding(9, "Two."), finding(5, "Three.", BAR_TOO_SHORT)) == [
        "a.intav  2 errors.",
        "a.intav:5:1  error bar-too-short  Three.",
        "mended: One.",
        "1 finding as before",
        "Built in 0.50 s.",
    ]


@pytest.mark.parametrize("lines", [1, 2])
def test_the_same_again_is_not_told_again(lines: int) -> None:
    told = _Told()
    same = [finding(3, "One.") for _ in range(lines)]
    said(told, *same, first=True)
    assert len(said(told, *same)) == 2
