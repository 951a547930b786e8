"""The faulty pieces: each finding is written beside its line, and nothing else is found.

The form: a comment ``;; CODE COLUMN «TEXT» MESSAGE`` above the offending line (several if it has several findings),
or at its end where nothing may stand above it. TEXT is what the finding underlines, empty for a place between two
signs.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from pipeline.findings.codes import ALL
from pipeline.folder.batch import Done, Job, build_one, check_one
from pipeline.folder.files import discover
from pipeline.model.options import Options
from tests.untyped import UNTYPED

FOLDER = Path(__file__).parents[2] / "fixtures" / "faulty"
PIECES = {file.path.stem: file for file in discover([FOLDER])}

#: A byte order mark would make these pages hard to edit: ``test_files.py`` holds it.
ELSEWHERE = {"byte-order-mark"}

_EXPECTED = re.compile(
    r";; (?P<code>[a-z0-9-]+) (?P<column>\d+) «(?P<text>.*?)» (?P<message>.*?)(?= ;; |$)", re.MULTILINE
)

Line = tuple[int, int, str, str, str]


def _expected(lines: tuple[str, ...]) -> Iterator[Line]:
    """Line, column, code, text and message of each finding that the piece announces."""
    waiting: list[re.Match[str]] = []
    for number, line in enumerate(lines, start=1):
        here = list(_EXPECTED.finditer(line))
        if line.startswith(";;"):
            waiting += here
            continue
        if line.startswith(";") and not waiting:
            continue
        for found in (*waiting, *here):
            yield number, int(found["column"]), found["code"], found["text"], found["message"]
        waiting = []
    assert not waiting, "a finding is announced and no line follows"


def _found(done: Done) -> Iterator[Line]:
    sources = {source.name: source for source in done.sources}
    for one in done.diagnostics:
        text = sources[one.span.file].at(one.span)
        yield one.span.line, one.span.start, one.code.slug, text, one.message


@pytest.mark.parametrize("name", PIECES)
def test_exactly_the_announced_findings(name: str) -> None:
    done = check_one(Job(PIECES[name]))
    assert not done.fault
    announced = sorted(_expected(done.sources[0].lines))
    assert announced
    assert sorted(_found(done)) == announced


@pytest.mark.parametrize("name", PIECES)
def test_what_can_be_read_is_still_built(name: str, tmp_path: Path) -> None:
    done = build_one(Job(PIECES[name], tmp_path), Options())
    assert done.fault == ""
    assert done.warnings == ()
    readable = "not-utf8" not in {finding.code.slug for finding in done.diagnostics}
    last = ["events.xml", "findings.json", "critical-report.html", "critical-report.csv", "proof.html"]
    assert [path.name for path in done.written][-5:] == (last if readable else ["findings.json"])


def test_every_kind_of_finding_has_a_faulty_piece() -> None:
    announced = {
        found["code"]
        for file in PIECES.values()
        for found in _EXPECTED.finditer(file.path.read_text(encoding="utf-8", errors="replace"))
    }
    assert announced == set(ALL) - UNTYPED - ELSEWHERE
