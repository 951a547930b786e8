"""Findings for the reader at a terminal or behind a pipe.

Each finding is one line that can be searched for (place, severity, code, message), and under it, indented, the
line of the file with the place underlined, what to do, and the other places that it speaks of.
"""

from __future__ import annotations

from collections.abc import Mapping

from rich.cells import cell_len
from rich.text import Text

from pipeline.findings.printing import printable
from pipeline.model.diagnostics import Diagnostic, Severity
from pipeline.model.text import SourceText, Span

INDENT = "    "
UNDERLINE = "‾"
#: A longer line of the file is cut around the place.
WIDEST = 110
#: More places than this are only counted.
MOST_RELATED = 4

STYLES = {Severity.ERROR: "bold red", Severity.WARNING: "bold yellow", Severity.NOTE: "bold cyan"}


def finding_lines(diagnostic: Diagnostic, sources: Mapping[str, SourceText]) -> list[Text]:
    """One finding as lines of text."""
    style = STYLES[diagnostic.severity]
    first = Text.assemble(
        (_place(diagnostic.span), "bold"),
        "  ",
        (f"{diagnostic.severity.value} {diagnostic.code.slug}", style),
        "  ",
        printable(diagnostic.message),
    )
    lines = [first, *excerpt(diagnostic.span, sources, style)]
    if diagnostic.hint:
        lines.append(Text(INDENT + printable(diagnostic.hint), "italic"))
    for related in diagnostic.related[:MOST_RELATED]:
        lines.append(Text(f"{INDENT}{_place(related.span)}  {printable(related.message)}", "dim"))
    more = len(diagnostic.related) - MOST_RELATED
    if more > 0:
        lines.append(Text(f"{INDENT}and {counted(more, 'other place')}", "dim"))
    return [safe(line) for line in lines]


def safe(line: Text) -> Text:
    """A line as :func:`printable` leaves it, in its styles."""
    line.plain = printable(line.plain)
    return line


def summary(pieces: int, counts: Mapping[Severity, int], known: int = 0) -> str:
    """One sentence over a whole run: ``12 pieces: 3 errors, 1 warning.``; ``known`` findings are counted apart."""
    found = [counted(counts[severity], severity.value) for severity in Severity if counts.get(severity)]
    if known:
        found.append(f"{known} known")
    return f"{counted(pieces, 'piece')}: {', '.join(found) if found else 'nothing to report'}."


def counted(number: int, word: str) -> str:
    """``1 piece``, ``2 pieces``."""
    return f"{number} {word}{'' if number == 1 else 's'}"


def _place(span: Span) -> str:
    return f"{printable(span.file)}:{span.line}:{span.start}"


def excerpt(span: Span, sources: Mapping[str, SourceText], style: str) -> list[Text]:
    """The line of a place, and the place underlined; nothing of a line that holds nothing."""
    source = sources.get(span.file)
    line = source.line(span.line) if source is not None else ""
    if not line.strip():
        return []
    begin, end = span.start - 1, max(span.end - 1, span.start)
    cut = max(0, min(begin - WIDEST // 2, len(line) - WIDEST))
    tail = "…" if len(line) > cut + WIDEST else ""
    head = "…" if cut else ""
    shown = head + printable(line[cut : cut + WIDEST]) + tail
    before = cell_len(head + printable(line[cut:begin]))
    under = cell_len(printable(line[begin : min(end, cut + WIDEST)])) or 1
    return [
        Text(INDENT + shown.rstrip()),
        Text(INDENT + " " * before + UNDERLINE * under, style),
    ]
