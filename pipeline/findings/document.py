"""The findings as JSON, for editors' tools and for scripts. Schema: ``schemas/findings.schema.json``."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable

from pipeline.model.diagnostics import Diagnostic, Severity
from pipeline.model.text import Span

#: Raised when the form of the document changes.
FORM = 2


def write_findings(piece: str, diagnostics: Iterable[Diagnostic]) -> bytes:
    """The findings on one piece, in order of file, line and column; UTF-8, one line feed at the end.

    The version of the program stands in ``build.json`` alone, or every edition would change with it. ``piece`` is the
    name of the piece's file as shown to the reader. Lines and columns count from 1, in characters; ``end`` is the
    column behind the last character.
    """
    ordered = sorted(diagnostics, key=lambda found: (found.span, found.code.slug, found.message))
    counts = Counter(found.severity for found in ordered)
    document = {
        "form": FORM,
        "tool": {"name": "longneck"},
        "piece": piece,
        "counts": {f"{severity.value}s": counts[severity] for severity in Severity},
        "findings": [finding_fields(found) for found in ordered],
    }
    text = json.dumps(document, ensure_ascii=False, indent=2, allow_nan=False)
    return f"{text}\n".encode(errors="replace")


def finding_fields(found: Diagnostic) -> dict[str, object]:
    """One finding, as every JSON document of ours says it."""
    return {
        "code": found.code.slug,
        "severity": found.severity.value,
        "title": found.code.title,
        "message": found.message,
        "hint": found.hint,
        "bar": found.bar,
        "place": _place(found.span),
        "related": [{"message": other.message, "place": _place(other.span)} for other in found.related],
    }


def _place(span: Span) -> dict[str, object]:
    return {"file": span.file, "line": span.line, "column": span.start, "end": span.end}
