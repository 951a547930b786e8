"""How grave a kind of finding is: ``severity bar-too-short = warning``."""

from __future__ import annotations

from difflib import get_close_matches

from pipeline.findings.codes import ALL
from pipeline.findings.codes.heading import SEVERITY
from pipeline.model.diagnostics import Diagnostic, Outcome, Severity
from pipeline.model.heading import DeclaredSeverity
from pipeline.model.tablature import HeadingLine
from pipeline.source.declare.fields import Field

_LEVELS = {severity.value for severity in Severity}
#: Words that ask for silence.
_SILENT = {"off", "none", "ignore", "hide", "no"}


def read_severity(line: HeadingLine) -> Outcome[DeclaredSeverity | None]:
    """severity = "error" | "warning" | "note" ;   None, with a finding, if nothing of that kind can be set"""
    wrong = _wrong(line)
    if wrong is not None:
        return Outcome(None, (wrong,))
    return Outcome(DeclaredSeverity(line.name, line.value, line.span))


def _wrong(line: HeadingLine) -> Diagnostic | None:
    code = ALL.get(line.name)
    if code is None:
        near = get_close_matches(line.name, ALL, 2)
        hint = f"Perhaps {' or '.join(near)}." if near else "longneck explain lists all kinds of findings."
        return Diagnostic(SEVERITY, line.span, f"There is no kind of finding called “{line.name}”.", hint)
    if code.fixed:
        message = f"The severity of {line.name} cannot be set: it concerns the file or the program."
        return Diagnostic(SEVERITY, line.span, message, "Remove the line.")
    if line.value not in _LEVELS:
        silent = " No finding can be hidden; the least that it can be is a note." if line.value in _SILENT else ""
        field = Field(line.value, line.value_span)
        message = f"Expected error, warning or note, not “{line.value}”."
        return field.wrong(SEVERITY, message, f"For example: severity {line.name} = note.{silent}")
    return None
