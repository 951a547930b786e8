"""How far a piece is read, as JSON beside its edition: for the page of all pieces, and for scripts."""

from __future__ import annotations

import json

from pipeline.desk.proof.reading.marks import Progress

#: Raised when the form of the document changes.
FORM = 1


def write_progress(progress: Progress) -> bytes:
    """Counts, and the lines of the text whose bars are left. UTF-8, one line feed at the end."""
    content = {
        "form": FORM,
        "bars": progress.bars,
        "read": progress.read,
        "left": list(progress.left),
        "notes": len(progress.notes),
        "changed": progress.changed,
    }
    return (json.dumps(content) + "\n").encode()


def read_progress(data: bytes) -> tuple[int, int]:
    """How many lines of bars there are, and how many are read; none of none for anything that is no such document."""
    try:
        found = json.loads(data)
        bars, read = found["bars"], found["read"]
    except (ValueError, KeyError, TypeError, RecursionError):
        return 0, 0
    return (bars, read) if type(bars) is int and type(read) is int and 0 <= read <= bars else (0, 0)
