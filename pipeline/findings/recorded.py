"""Findings read back from the JSON that an earlier build wrote."""

from __future__ import annotations

import json
from typing import Any

from pipeline.findings.codes import ALL
from pipeline.findings.document import FORM
from pipeline.model.diagnostics import Diagnostic, Related, Severity
from pipeline.model.text import Span


class NotFindingsError(ValueError):
    """The bytes are not the findings of this version of the program."""


def read_findings(data: bytes) -> tuple[Diagnostic, ...]:
    """The findings in ``findings.json``, in their order. Raises NotFindingsError on anything else."""
    try:
        document = json.loads(data)
        if document["form"] != FORM:
            raise NotFindingsError("another form")
        return tuple(finding_of(one) for one in document["findings"])
    except NotFindingsError:
        raise
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise NotFindingsError(str(error)) from error


def finding_of(one: dict[str, Any]) -> Diagnostic:
    """One finding from its fields, as every JSON document of ours says it. Raises any exception of Python's on anything
    else."""
    related = tuple(Related(_place(other["place"]), _text(other["message"])) for other in one["related"])
    code, severity = ALL[_text(one["code"])], Severity(one["severity"])
    declared = None if severity is code.severity else severity
    message, hint, bar = (_text(one[key]) for key in ("message", "hint", "bar"))
    return Diagnostic(code, _place(one["place"]), message, hint, related, bar, declared)


def _place(place: dict[str, Any]) -> Span:
    return Span(_text(place["file"]), *(_number(place[key]) for key in ("line", "column", "end")))


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise NotFindingsError(f"{value!r} is no text")
    return value


def _number(value: object) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or value < 0:
        raise NotFindingsError(f"{value!r} is not the number of a line or column")
    return value
