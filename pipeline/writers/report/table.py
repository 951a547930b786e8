"""The report as comma-separated values: RFC 4180 in UTF-8, without a byte-order mark.

Spreadsheets take some texts for formulas, numbers or dates: ``=1``, ``3:5``, ``8.``. A reading must neither run nor
change, so a text cell stands in straight double quotes of its own unless it is words that no program can mistake:
beginning with a letter, without a digit, and neither true nor false. Take one pair of quotes off, and the reading is
as it was typed (:func:`plain`).
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from pipeline.model.apparatus import Apparatus, Entry
from pipeline.writers.report.words import bar_said, course_said, event_said

COLUMNS = (
    "bar", "event", "course", "part", "sign", "kind", "siglum", "reading in the source", "reading here", "reason",
    "who", "folio", "id",
)  # fmt: skip
_TRUTHS = frozenset({"true", "false"})


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
    if not text:
        return text
    harmless = text[0].isalpha() and not any(map(str.isdigit, text)) and text.casefold() not in _TRUTHS
    return text if harmless else f'"{text}"'


def plain(cell: str) -> str:
    """The text that a cell stands for: :func:`shielded` undone."""
    return cell[1:-1] if cell.startswith('"') else cell
