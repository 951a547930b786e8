"""A short summary in Markdown, for the page of a pull request or of a run."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator

from pipeline.findings.machine.words import counted, place, said
from pipeline.findings.printing import printable
from pipeline.findings.tally import FileTally, Noted, Tally
from pipeline.model.diagnostics import Severity

#: More lines of a kind than this are only counted.
MOST = 50

#: What Markdown, or HTML in it, might read as more than itself in the middle of a line.
_SIGNS = re.compile(r"([\\`*_\[\]|<>&~$])")


def write_summary(tally: Tally) -> bytes:
    """A sentence, a table of the files in which something was found, what fails, and what occurs no more."""
    return ("\n".join(_lines(tally)) + "\n").encode(errors="replace")


def _lines(tally: Tally) -> Iterator[str]:
    yield "## longneck"
    yield ""
    yield _sentence(tally)
    found = [file for file in tally.files if file.noted]
    if found:
        yield ""
        yield from _table(found, tally)
    failing = [one for one in tally.noted if one.fails]
    if failing:
        yield from ("", "### What fails", "")
        yield from _cut((_item(one) for one in failing), len(failing))
    if tally.gone:
        yield from ("", "### Known findings that no longer occur", "")
        gone = (f"- {_code(key.piece)} {key.code}: {_code(key.line)}" for key, _ in tally.gone)
        yield from _cut(gone, len(tally.gone))


def _sentence(tally: Tally) -> str:
    counts = [counted(tally.count(severity), severity.value) for severity in Severity if tally.count(severity)]
    known = [f"{tally.known} known"] if tally.known else []
    return f"{counted(tally.pieces, 'piece')}: {', '.join((*counts, *known)) or 'nothing to report'}."


def _table(found: list[FileTally], tally: Tally) -> Iterator[str]:
    yield "| file | errors | warnings | notes | known |"
    yield "|:--|--:|--:|--:|--:|"
    rows = (_row(_code(file.name).replace("|", "\\|"), file.noted) for file in found)
    yield from _cut(rows, len(found), "| … | | | | |")
    if len(found) > 1:
        yield _row("**all**", tally.noted)


def _row(name: str, noted: Iterable[Noted]) -> str:
    counts = Counter("known" if one.known else one.finding.severity.value for one in noted)
    cells = [str(counts[kind] or "") for kind in (*(severity.value for severity in Severity), "known")]
    return f"| {' | '.join((name, *cells))} |"


def _item(one: Noted) -> str:
    return f"- {_code(place(one.finding))} **{one.finding.code.slug}** {markdown(said(one.finding))}"


def _cut(lines: Iterable[str], total: int, sign: str = "") -> Iterator[str]:
    for number, line in enumerate(lines):
        if number == MOST:
            yield sign or f"- and {total - MOST} more"
            return
        yield line


def markdown(text: str) -> str:
    """Text that is shown as it is, on one line."""
    return _SIGNS.sub(r"\\\1", printable(" ".join(text.split())))


def _code(text: str) -> str:
    """Typed text in a code span, between more back quotes than it holds in a row."""
    text = printable(" ".join(text.split())) or "(empty line)"
    longest = max((len(run) for run in re.findall("`+", text)), default=0)
    fence = "`" * (longest + 1)
    pad = " " if fence in (text[:1], text[-1:]) or longest else ""
    return f"{fence}{pad}{text}{pad}{fence}"
