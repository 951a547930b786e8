"""Findings in SARIF 2.1.0, the interchange form of OASIS for what tools find in files.

Sections of the standard stand beside what follows from them. Nothing in the document depends on the machine or the
hour (appendix F, deterministic logs).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from urllib.parse import quote

from pipeline import __version__
from pipeline.findings.codes import whole_piece
from pipeline.findings.machine.sealing import Streamed, sealed_json
from pipeline.findings.machine.words import closed, said
from pipeline.findings.tally import Noted, Tally
from pipeline.model.diagnostics import Code, Diagnostic, Related
from pipeline.model.text import Span

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
#: The base that file names are relative to: the top of the collection, wherever that is (3.4.4, 3.14.14).
BASE = "SRCROOT"


def write_sarif(tally: Tally) -> Iterator[bytes]:
    """One run with all findings, the known ones marked as suppressed; UTF-8, one line feed at the end."""
    codes = _codes(tally.noted)
    rules = {code.slug: number for number, code in enumerate(codes)}
    places = {name: number for number, name in enumerate(dict.fromkeys(file.name for file in tally.files))}
    run = {
        "tool": {
            "driver": {
                "name": "longneck",
                "semanticVersion": __version__,
                "language": "en",
                "rules": [_rule(code) for code in codes],
            }
        },
        "language": "en",
        "invocations": [{"executionSuccessful": not any(file.fault for file in tally.files)}],
        "originalUriBaseIds": {BASE: {"description": {"text": "The top folder of the collection."}}},
        "artifacts": Streamed({"location": _artifact(name), "encoding": "UTF-8"} for name in places),
        "columnKind": "unicodeCodePoints",  # 3.14.27: columns count characters, as everywhere in longneck
        "newlineSequences": ["\r\n", "\n", "\r"],  # 3.14.26
        "results": Streamed(_result(one, rules, places, tally.compared) for one in tally.noted),
    }
    document = {"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}
    return sealed_json(document)


def _codes(noted: Iterable[Noted]) -> tuple[Code, ...]:
    """The kinds that occur, by name."""
    kinds = {one.finding.code.slug: one.finding.code for one in noted}
    return tuple(kinds[slug] for slug in sorted(kinds))


def _rule(code: Code) -> dict[str, object]:
    """A reportingDescriptor (3.49): its help is what ``longneck explain`` says."""
    examples = [] if not code.faulty else [("Faulty", code.faulty), ("Mended", code.mended)]
    plain = "\n\n".join([code.why, *(f"{title}:\n\n{whole_piece(example)}" for title, example in examples)])
    marked = "\n\n".join([code.why, *(f"{title}:\n\n{_fenced(example)}" for title, example in examples)])
    return {
        "id": code.slug,
        "shortDescription": {"text": closed(code.title)},
        "fullDescription": {"text": code.why},
        "help": {"text": plain, "markdown": marked},
        "defaultConfiguration": {"level": code.severity.value},
    }


def _fenced(example: str) -> str:
    return f"```\n{whole_piece(example).rstrip()}\n```"


def _result(one: Noted, rules: dict[str, int], places: dict[str, int], compared: bool) -> dict[str, object]:
    """A result (3.27). A column behind the last character, as here, is what endColumn means (3.30.8)."""
    finding = one.finding
    result: dict[str, object] = {
        "ruleId": finding.code.slug,
        "ruleIndex": rules[finding.code.slug],
        "level": finding.severity.value,
        "message": {"text": message_text(said(finding))},
        "locations": [_location(finding, places)],
        "partialFingerprints": {"longneck/v1": one.fingerprint, "primaryLocationLineHash": one.fingerprint},
    }
    if finding.related:
        result["relatedLocations"] = list(_related(finding.related, places))
    if compared:  # 3.27.23: on every result or on none; an empty array says: not suppressed
        result["suppressions"] = [{"kind": "external", "justification": "in the baseline"}] if one.known else []
    return result


def message_text(text: str) -> str:
    """A plain text as message string: braces would be placeholders (3.11.5), ``](`` the middle of a link (3.11.6)."""
    return text.replace("{", "{{").replace("}", "}}").replace("](", "\\](")


def _location(finding: Diagnostic, places: dict[str, int]) -> dict[str, object]:
    location = _physical(finding.span, places)
    if finding.bar:
        location["logicalLocations"] = [{"name": finding.bar, "fullyQualifiedName": f"bar {finding.bar}"}]
    return location


def _related(related: Iterable[Related], places: dict[str, int]) -> Iterable[dict[str, object]]:
    for number, other in enumerate(related, start=1):
        message = {"text": message_text(closed(other.message))}
        yield {"id": number, **_physical(other.span, places), "message": message}


def _physical(span: Span, places: dict[str, int]) -> dict[str, object]:
    region = {"startLine": span.line, "startColumn": span.start, "endLine": span.line, "endColumn": span.end}
    artifact = _artifact(span.file)
    if span.file in places:
        artifact["index"] = places[span.file]
    return {"physicalLocation": {"artifactLocation": artifact, "region": region}}


def _artifact(name: str) -> dict[str, object]:
    """An artifactLocation (3.4): relative to the base, or, outside of the collection, absolute and without one."""
    if name.startswith("/"):
        return {"uri": f"file://{quote(name, errors='replace')}"}
    # A relative reference (RFC 3986, 4.2) has no colon in its first segment; quoted, a name has none at all.
    return {"uri": quote(name, errors="replace"), "uriBaseId": BASE}
