"""The report as comma-separated values: RFC 4180 in UTF-8, without a byte-order mark.

A cell holds the reading and nothing else. Spreadsheets take some texts for formulas, dates or numbers that they write
otherwise: ``=1``, ``3:5``, ``1-2``, ``007``. Such a text, and no other, stands between typographic quotes (“=1”), so
that it neither runs nor changes; :func:`plain` takes them off.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator

from pipeline.model.apparatus import Apparatus, Entry
from pipeline.writers.report.words import bar_said, course_said, event_said

COLUMNS = (
    "bar", "event", "course", "part", "sign", "kind", "siglum", "reading in the source", "reading here", "reason",
    "who", "folio", "id",
)  # fmt: skip
#: What a spreadsheet runs, or takes for another kind of cell: signs before a formula, whole cells of figures and signs
#: that are no plain number, truths, powers of ten, days with months.
_RUNS = re.compile(r"[\s'\"]*[=+\-@\t\r\n＝＋－＠]")
_NUMBER = re.compile(r"0|[1-9][0-9]{0,8}")
_TAKEN = re.compile(
    r"[\d\s.,:;/'%€$£()-]*\d[\d\s.,:;/'%€$£()-]*|true|false|\d+([.,]\d*)?e[+-]?\d+"
    r"|.*\d.*(jan|feb|mar|apr|ma[yi]|jun|jul|aug|sep|o[ck]t|nov|de[cz]).*"
    r"|.*(jan|feb|mar|apr|ma[yi]|jun|jul|aug|sep|o[ck]t|nov|de[cz]).*\d.*"
    r"|\d{1,2}:?\d*\s*[ap]\.?m?\.?",
    re.IGNORECASE | re.DOTALL,
)
#: Longer texts are sentences.
_LONGEST = 24


def write_table(apparatus: Apparatus) -> bytes:
    """One row for each entry, in the order of print, under a row of names; lines end in CR LF."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for entry in apparatus.entries:
        writer.writerow(_cells(entry, apparatus.copy_text))
    return text.getvalue().encode(errors="replace")


def _cells(entry: Entry, copy_text: str) -> Iterator[str]:
    yield bar_said(entry)
    yield event_said(entry)
    yield course_said(entry)
    yield shielded(entry.part)
    yield entry.subject.value
    yield entry.kind.value
    yield shielded(entry.siglum or (copy_text if entry.source else ""))
    for text in (entry.source, entry.here, entry.reason, entry.who, entry.folio, entry.at):
        yield shielded(text)


def shielded(text: str) -> str:
    """A text as no spreadsheet takes it for anything else."""
    return f"“{text}”" if _taken(text) else text


def plain(cell: str) -> str:
    """The text that a cell stands for: :func:`shielded` undone."""
    return cell[1:-1] if _quoted(cell) and _taken(cell[1:-1]) else cell


def _taken(text: str) -> bool:
    """Whether a spreadsheet would run or change a text; and whether it looks like one that was kept from it."""
    if _quoted(text):
        return _taken(text[1:-1])
    if _RUNS.match(text):
        return True
    return len(text) <= _LONGEST and not _NUMBER.fullmatch(text) and _TAKEN.fullmatch(text) is not None


def _quoted(text: str) -> bool:
    return len(text) > 1 and text[0] == "“" and text[-1] == "”"
