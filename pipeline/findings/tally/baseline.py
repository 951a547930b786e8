"""The baseline: the findings that are known, in a file to be kept and reviewed with the pieces.

One finding is one line of the file, so that a diff shows which came and which went.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from pipeline.findings.tally.records import Key

#: Raised when the form of the file changes.
FORM = 1


class BadBaselineError(Exception):
    """The file is no baseline of this form; the message says why, and where."""


@dataclass(frozen=True, slots=True)
class Baseline:
    """How often each finding is known to occur."""

    counts: Mapping[Key, int] = field(default_factory=dict)


def write_baseline(baseline: Baseline) -> bytes:
    """The file, its lines in order of piece, code and line. Schema: ``schemas/baseline.schema.json``."""
    lines = []
    for key, count in sorted(baseline.counts.items()):
        entry = {"piece": key.piece, "code": key.code, "line": key.line, "count": count}
        lines.append("    " + json.dumps(entry, ensure_ascii=False))
    known = "[\n" + ",\n".join(lines) + "\n  ]" if lines else "[]"
    return f'{{\n  "form": {FORM},\n  "known": {known}\n}}\n'.encode(errors="replace")


def read_baseline(data: bytes) -> Baseline:
    """The findings that a file says are known. Raises BadBaselineError."""
    try:
        document = json.loads(data.decode())
    except UnicodeDecodeError as error:
        raise BadBaselineError("it is not UTF-8") from error
    except json.JSONDecodeError as error:
        raise BadBaselineError(f"line {error.lineno}, column {error.colno}: it is not JSON from here on") from error
    except (RecursionError, ValueError) as error:  # nested without end; a number of a million figures
        raise BadBaselineError("it is not a baseline") from error
    if not isinstance(document, dict) or "known" not in document or document.get("form") != FORM:
        raise BadBaselineError(f"it is not a baseline of form {FORM}")
    entries = document["known"]
    if not isinstance(entries, list):
        raise BadBaselineError("“known” is not a list")
    counts: dict[Key, int] = {}
    for number, entry in enumerate(entries, start=1):
        key, count = _entry(entry, number)
        counts[key] = counts.get(key, 0) + count
    return Baseline(counts)


def _entry(entry: Any, number: int) -> tuple[Key, int]:
    expected = {"piece": str, "code": str, "line": str, "count": int}
    if not isinstance(entry, dict) or set(entry) != set(expected):
        raise BadBaselineError(f"known finding {number} needs {', '.join(expected)}, and nothing else")
    for name, kind in expected.items():
        if type(entry[name]) is not kind or (kind is int and entry[name] < 1):
            raise BadBaselineError(f"known finding {number}: “{name}” is no {'text' if kind is str else 'count'}")
    return Key(entry["piece"], entry["code"], entry["line"]), entry["count"]
