"""Findings as workflow commands of GitHub Actions, which shows them beside the lines of a change.

Form and escapes: "Workflow commands for GitHub Actions" in the service's documentation, and its own toolkit.
"""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.findings.machine.words import said
from pipeline.findings.printing import printable
from pipeline.findings.tally import Noted, Tally
from pipeline.model.diagnostics import Severity

_COMMANDS = {Severity.ERROR: "error", Severity.WARNING: "warning", Severity.NOTE: "notice"}


def write_annotations(tally: Tally) -> Iterator[bytes]:
    """One line for each finding that is not known, the gravest first: the service shows only the first ten of each
    kind in a step."""
    for severity in Severity:
        for one in tally.noted:
            if one.finding.severity is severity and not one.known:
                yield f"{_command(one)}\n".encode(errors="replace")


def _command(one: Noted) -> str:
    span = one.finding.span
    fields = {
        "file": printable(span.file),
        "line": str(span.line),
        "endLine": str(span.line),
        "col": str(span.start),
        "endColumn": str(span.end),
        "title": f"{one.finding.code.slug}: {one.finding.code.title}",
    }
    properties = ",".join(f"{name}={escaped_property(value)}" for name, value in fields.items())
    return f"::{_COMMANDS[one.finding.severity]} {properties}::{escaped(printable(said(one.finding)))}"


def escaped(text: str) -> str:
    """What stands behind the second pair of colons."""
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def escaped_property(text: str) -> str:
    """The value of a property."""
    return escaped(text).replace(":", "%3A").replace(",", "%2C")
