"""A short summary in Markdown, for the page of a pull request or of a run."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping

from pipeline.findings.machine.words import counted, place, said
from pipeline.findings.printing import printable
from pipeline.findings.tally import FileTally, Noted, Tally, Totals
from pipeline.model.diagnostics import Severity

#: More lines of a kind than this are only counted.
MOST = 50

#: What Markdown, or HTML in it, might read as more than itself in the middle of a line.
_SIGNS = re.compile(r"([\\`*_\[\]|<>&~$])")


def write_summary(tally: Tally) -> Iterator[bytes]:
    """A sentence, a table of the files in which something was found, what fails, and what occurs no more."""
    for line in _lines(tally, tally.totals()):
        yield f"{line}\n".encode(errors="replace")


def _lines(tally: Tally, totals: Totals) -> Iterator[str]:
    yield "## longneck"
    yield ""
    yield _sentence(totals)
    if totals.found:
        yield ""
        yield from _table((file for file in tally.files if file.noted), totals)
    if totals.failing:
        yield from ("", "### What fails", "")
        yield from _cut((_item(one) for one in tally.noted if one.fails), totals.failing)
    if tally.gone:
        yield from ("", "### Known findings that no longer occur", "")
        gone = (f"- {_code(key.piece)} {key.code}: {_code(key.line)}" for key, _ in tally.gone)
        yield from _cut(gone, len(tally.gone))


def _sentence(totals: Totals) -> str:
    counts = [counted(count, severity.value) for severity, count in totals.counts.items() if count]
    known = [f"{totals.known} known"] if totals.known else []
    return f"{counted(totals.pieces, 'piece')}: {', '.join((*counts, *known)) or 'nothing to report'}."


def _table(found: Iterable[FileTally], totals: Totals) -> Iterator[str]:
    yield "| file | errors | warnings | notes | known |"
    yield "|:--|--:|--:|--:|--:|"
    rows = (_row(_code(file.name).replace("|", "\\|"), _numbers(file.noted)) for file in found)
    yield from _cut(rows, totals.found, "| … | | | | |")
    if totals.found > 1:
        counts = {severity.value: count for severity, count in totals.counts.items()}
        yield _row("**all**", {**counts, "known": totals.known})


def _numbers(noted: Iterable[Noted]) -> Mapping[str, int]:
    return Counter("known" if one.known else one.finding.severity.value for one in noted)


def _row(name: str, counts: Mapping[str, int]) -> str:
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
