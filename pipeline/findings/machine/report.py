"""The whole run as JSON. Schema: ``schemas/report.schema.json``; a finding is as in ``findings.json``, and more."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline import __version__
from pipeline.findings.document import finding_fields
from pipeline.findings.machine.sealing import Streamed, sealed_json
from pipeline.findings.tally import FileTally, Key, Noted, Tally

#: Raised when the form of the document changes.
FORM = 1


def write_report(tally: Tally) -> Iterator[bytes]:
    """UTF-8, one line feed at the end."""
    totals = tally.totals()
    document = {
        "form": FORM,
        "tool": {"name": "longneck", "version": __version__},
        "pieces": totals.pieces,
        "counts": {**{f"{level.value}s": count for level, count in totals.counts.items()}, "known": totals.known},
        "files": Streamed(_file(file) for file in tally.files),
        "gone": [_gone(key, count) for key, count in tally.gone],
    }
    return sealed_json(document)


def _file(file: FileTally) -> dict[str, object]:
    return {
        "file": file.name,
        "is_piece": file.is_piece,
        "fault": file.fault,
        "findings": [_noted(one) for one in file.noted],
    }


def _noted(one: Noted) -> dict[str, object]:
    return {**finding_fields(one.finding), "known": one.known, "fingerprint": one.fingerprint}


def _gone(key: Key, count: int) -> dict[str, object]:
    return {"piece": key.piece, "code": key.code, "line": key.line, "count": count}
