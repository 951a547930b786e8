"""The whole run as JSON. Schema: ``schemas/report.schema.json``; a finding is as in ``findings.json``, and more."""

from __future__ import annotations

from pipeline import __version__
from pipeline.findings.document import finding_fields
from pipeline.findings.machine.sealing import sealed_json
from pipeline.findings.tally import FileTally, Key, Noted, Tally
from pipeline.model.diagnostics import Severity

#: Raised when the form of the document changes.
FORM = 1


def write_report(tally: Tally) -> bytes:
    """UTF-8, one line feed at the end."""
    document = {
        "form": FORM,
        "tool": {"name": "longneck", "version": __version__},
        "pieces": tally.pieces,
        "counts": {**{f"{level.value}s": tally.count(level) for level in Severity}, "known": tally.known},
        "files": [_file(file) for file in tally.files],
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
