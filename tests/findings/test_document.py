"""The findings as JSON: the schema, the order, the bytes."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from pipeline.findings.document import write_findings
from pipeline.model.diagnostics import Code, Diagnostic, Related, Severity
from pipeline.model.text import Span
from tests.made import resolved
from tests.outside.schemas import valid_findings

SCHEMA = json.loads((Path(__file__).parents[2] / "schemas" / "findings.schema.json").read_text(encoding="utf-8"))


def code(slug: str, severity: Severity) -> Code:
    return Code(slug, severity, "A title", "why", "faulty", "mended")


ERROR, WARNING, NOTE = (code(f"a-{severity.value}", severity) for severity in Severity)


def found(kind: Code, line: int, start: int, message: str = "It is wrong.", file: str = "b.intav") -> Diagnostic:
    return Diagnostic(kind, Span(file, line, start, start + 2), message)


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


def test_nothing_found() -> None:
    assert valid_findings(write_findings("a.intav", ())) == {
        "form": 2,
        "tool": {"name": "longneck"},
        "piece": "a.intav",
        "counts": {"errors": 0, "warnings": 0, "notes": 0},
        "findings": [],
    }


def test_one_finding_with_everything() -> None:
    span, other = Span("b.intav", 3, 5, 8), Span("heading.intav", 2, 1, 4)
    one = Diagnostic(ERROR, span, "Fret é is “odd”.", "Type another.", (Related(other, "Declared here."),), "12")
    assert valid_findings(write_findings("b.intav", (one,)))["findings"] == [
        {
            "code": "a-error",
            "severity": "error",
            "title": "A title",
            "message": "Fret é is “odd”.",
            "hint": "Type another.",
            "bar": "12",
            "place": {"file": "b.intav", "line": 3, "column": 5, "end": 8},
            "related": [
                {"message": "Declared here.", "place": {"file": "heading.intav", "line": 2, "column": 1, "end": 4}}
            ],
        }
    ]


def test_order_and_counts() -> None:
    """By file, line, column; then by code and message. However they come, the bytes are the same."""
    all_of_them = [
        found(NOTE, 1, 1, file="a.intav"),
        found(ERROR, 2, 9),
        found(ERROR, 10, 1, "First."),
        found(ERROR, 10, 1, "Second."),
        found(WARNING, 10, 1, "A first."),
        found(WARNING, 10, 4),
    ]
    document = write_findings("b.intav", all_of_them)
    value = valid_findings(document)
    assert value["counts"] == {"errors": 3, "warnings": 2, "notes": 1}
    places = [
        (one["place"]["file"], one["place"]["line"], one["place"]["column"], one["code"], one["message"])
        for one in value["findings"]
    ]
    assert places == sorted(places)
    assert write_findings("b.intav", reversed(all_of_them)) == document


def test_bytes() -> None:
    document = write_findings("é.intav", ())
    assert document.endswith(b"}\n")
    assert "é.intav".encode() in document
    assert b"\r" not in document


def test_a_lone_surrogate_is_no_exception() -> None:
    """A file name may hold bytes that are no text."""
    valid_findings(write_findings("bad\udcff.intav", ()))


@pytest.mark.parametrize("music", ["| 4=9:9 7:2 3:1,3:2", '| 4=1:0"a nonsense', "bar | 1:0", "| 4=1:\n| ="])
def test_findings_of_faulty_music(music: str) -> None:
    """What the stages really find is valid too, and lies inside the text."""
    _, diagnostics = resolved(music)
    value = valid_findings(write_findings("trial.intav", diagnostics))
    assert value["findings"]
    assert all(one["place"]["end"] >= one["place"]["column"] for one in value["findings"])
