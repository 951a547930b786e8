"""One command of longneck in this process; the last line on the stream of errors is the most memory that the process
itself ever held (MB).

    python -m tests.benchmarks.stand_in {real,none} build PATH… [--out DIR] [--report FORM=FILE]

With ``none``, work that takes no time stands in for the real one: each piece has five findings and two small artefacts.
What a run costs besides the work itself is then all that is left.
"""

from __future__ import annotations

import os
import resource
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future
from contextlib import contextmanager
from typing import Any
from unittest.mock import patch

from pipeline.cli import app
from pipeline.findings.codes import ALL
from pipeline.findings.document import write_findings
from pipeline.folder.batch import Crew
from pipeline.folder.batch.jobs import Made, Parcel
from pipeline.model.diagnostics import Diagnostic, Severity
from pipeline.model.options import Options
from pipeline.model.text import Span

FINDINGS = 5


def work(parcel: Parcel, options: Options) -> Made:
    """What stands for a piece that was built."""
    notes = [code for code in ALL.values() if code.severity is not Severity.ERROR and not code.fixed][:FINDINGS]
    found = tuple(
        Diagnostic(code, Span(parcel.name, 6 + number, 3, 8), f"Message {number} on {parcel.name}.", "Look again.")
        for number, code in enumerate(notes)
    )
    page = b"<!DOCTYPE html>\n<title>A page</title>\n"
    artefacts = (("findings.json", write_findings(parcel.name, found)), ("proof.html", page))
    return Made(found, artefacts, title=f"Piece {parcel.name}")


class Here(Executor):
    """Does what is asked at once."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        future: Future[Any] = Future()
        future.set_result(fn(*args, **kwargs))
        return future


@contextmanager
def crew(*_: object) -> Iterator[Crew]:
    yield Crew(Here(), 2)


def main() -> None:
    if sys.argv[1] == "none":
        patch("pipeline.cli.build.crew", crew).start()
        patch("pipeline.folder.batch.run.build_parcel", work).start()
        patch.object(os, "fsync", lambda handle: None).start()  # what the disk takes is not asked here
    try:
        app(sys.argv[2:])
    finally:
        print(f"{resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000:.0f}", file=sys.stderr)


if __name__ == "__main__":
    main()
