"""The pane of findings: each in words, linked to its place, with filters over the list."""

from __future__ import annotations

from collections import Counter

from pipeline.desk.proof.record import Elsewhere, Proof, ShownFinding
from pipeline.desk.proof.writers.words import counted, place_of
from pipeline.writers.html import Element, element

_SEVERITIES = ("error", "warning", "note")


def findings_pane(proof: Proof) -> Element:
    """All findings in order of the text; severities and kinds can be hidden."""
    found = proof.findings
    filters = _filters(found) if found else element("p", {"class": "faint"}, "Nothing was found.")
    items = (_item(finding, proof) for finding in found)
    return element(
        "section",
        {
            "id": "findings",
            "class": "pane list" if found else "pane list nothing",
            "tabindex": "0",
            "aria-labelledby": "findings-name",
        },
        element("h2", {"id": "findings-name"}, "Findings"),
        filters,
        element("ol", {"class": "items"}, *items) if found else None,
    )


def _filters(found: tuple[ShownFinding, ...]) -> Element:
    """One box a severity, one choice of kind, and how many are shown."""
    severities = Counter(finding.severity for finding in found)
    kinds = Counter(finding.code for finding in found)
    boxes = [_box(severity, severities[severity]) for severity in _SEVERITIES if severities[severity]]
    choices = [element("option", {"value": code}, f"{code} ({number})") for code, number in sorted(kinds.items())]
    every = element("option", {"value": ""}, "all kinds")
    return element(
        "fieldset",
        {"id": "filters", "class": "screen-only"},
        element("legend", None, "Show"),
        *boxes,
        element("label", None, "Kind ", element("select", {"id": "kind"}, every, *choices)),
        element("span", {"id": "shown", "role": "status"}, counted(len(found), "finding")),
    )


def _box(severity: str, number: int) -> Element:
    box = element("input", {"type": "checkbox", "name": "severity", "value": severity, "checked": "checked"})
    return element("label", {"class": f"severity-{severity}"}, box, f" {counted(number, severity)}")


def _item(finding: ShownFinding, proof: Proof) -> Element:
    where = {
        "class": f"item {finding.severity}",
        "data-at": finding.at,
        "data-severity": finding.severity,
        "data-code": finding.code,
        "data-place": f"{finding.text} {finding.line} {finding.start} {finding.end}",
    }
    place = place_of(finding.bar, finding.line, finding.at)
    if finding.at and finding.text == 0:
        place += f", line {finding.line}"
    elif finding.text > 0:
        place += f" of {proof.texts[finding.text].name}"
    elsewhere = [_elsewhere(other, proof) for other in finding.related]
    return element(
        "li",
        where,
        element(
            "p",
            {"class": "where"},
            _go(finding.text, finding.line, finding.at, place),
            " ",
            element("span", {"class": f"tag severity-{finding.severity}"}, finding.severity),
            " ",
            element("code", {"class": "faint"}, finding.code),
        ),
        element("p", None, finding.message),
        element("p", {"class": "faint"}, finding.hint) if finding.hint else None,
        element("ul", None, *elsewhere) if elsewhere else None,
    )


def _go(text: int, line: int, at: str, words: str) -> Element:
    """A link to a place in the text; the script goes to the sign as well."""
    if text < 0:
        return element("span", {"class": "go"}, words)
    prefix = f"T{text}L" if text else "L"
    return element("a", {"class": "go", "href": f"#{prefix}{line}", "data-at": at}, words)


def _elsewhere(other: Elsewhere, proof: Proof) -> Element:
    name = proof.texts[other.text].name if other.text > 0 else ""
    words = f"line {other.line} of {name}" if name else f"line {other.line}"
    return element("li", {"class": "faint"}, f"{other.message}: ", _go(other.text, other.line, "", words))
