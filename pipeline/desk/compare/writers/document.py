"""Comparisons as JSON, for scripts. Schema: ``schemas/comparison.schema.json``."""

from __future__ import annotations

from collections.abc import Iterable

from pipeline import __version__
from pipeline.desk.compare.difference import Comparison, Difference, Side, Verified
from pipeline.desk.compare.writers.words import message
from pipeline.findings.machine.sealing import sealed_json

#: Raised when the form of the document changes.
FORM = 1


def write_comparisons(comparisons: Iterable[Comparison], only_one: Iterable[str], only_two: Iterable[str]) -> bytes:
    """Pieces side by side; ``only_one`` and ``only_two`` name those that have no other. UTF-8, one line feed at the
    end."""
    return _bytes(
        {
            "pieces": [_comparison(one) for one in comparisons],
            "only": {"one": list(only_one), "two": list(only_two)},
        }
    )


def write_verified(pieces: Iterable[Verified], removed: Iterable[str]) -> bytes:
    """What is kept against what is built; ``removed`` are folders kept of pieces that are gone."""
    return _bytes({"pieces": [_verified(one) for one in pieces], "removed": list(removed)})


def _bytes(content: dict[str, object]) -> bytes:
    document = {"form": FORM, "tool": {"name": "longneck", "version": __version__}, **content}
    return b"".join(sealed_json(document))


def _comparison(comparison: Comparison) -> dict[str, object]:
    return {
        "one": comparison.one,
        "two": comparison.two,
        "title": comparison.title,
        "remarks": list(comparison.remarks),
        "differences": [_difference(found) for found in comparison.differences],
    }


def _verified(verified: Verified) -> dict[str, object]:
    files = {"missing": verified.missing, "extra": verified.extra, "otherwise": verified.otherwise}
    return {
        **_comparison(verified.comparison),
        "folder": verified.folder,
        "same": verified.same,
        "same_music": verified.same_music,
        "built": not verified.unbuilt,
        "notes": list(verified.notes),
        "files": {name: list(names) for name, names in files.items()},
    }


def _difference(found: Difference) -> dict[str, object]:
    return {
        "kind": found.kind.value,
        "group": found.kind.group.value,
        "message": message(found),
        "subject": found.subject,
        "unit": found.unit,
        "stops": found.count,
        "one": _side(found.one),
        "two": _side(found.two),
    }


def _side(side: Side) -> dict[str, object]:
    span = side.span
    place = None if span is None else {"line": span.line, "column": span.start, "end": span.end}
    return {
        "text": side.text,
        "sounds": side.heard,
        "bar": side.bar,
        "index": side.index + 1,
        "number": side.event,
        "place": place,
        "bars": list(side.bars),
    }
