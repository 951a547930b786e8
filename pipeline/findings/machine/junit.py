"""The run as JUnit XML, the form in which most services for continuous integration read test results.

No standard defines it. Kept to what its readers agree on: suites, cases, failures, errors, system-out. A piece is a
case; what fails it, all in one failure; what does not, in its output. No times: they would differ from run to run.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import PurePosixPath

from lxml import etree

from pipeline.findings.machine.sealing import sealed_xml
from pipeline.findings.machine.words import place, said
from pipeline.findings.tally import FileTally, Noted, Tally
from pipeline.model.xmltext import legal

#: What the top folder of the collection is called.
TOP = "collection"


def write_junit(tally: Tally) -> bytes:
    """One suite for each folder, in order; UTF-8 with XML declaration."""
    root = etree.Element("testsuites", {"name": "longneck", **_counts(tally.files)})
    folders: dict[str, list[FileTally]] = {}
    for file in tally.files:
        folders.setdefault(PurePosixPath(file.name).parent.as_posix(), []).append(file)
    for folder in sorted(folders):
        name = TOP if folder == "." else legal(folder)
        suite = etree.SubElement(root, "testsuite", {"name": name, **_counts(folders[folder])})
        for file in folders[folder]:
            _case(suite, file, name)
    etree.indent(root)
    return sealed_xml(etree.tostring(root, encoding="UTF-8", xml_declaration=True)) + b"\n"


def _counts(files: Iterable[FileTally]) -> dict[str, str]:
    files = tuple(files)
    faults = sum(file.fault for file in files)
    failures = sum(bool(file.failing) and not file.fault for file in files)
    return {"tests": str(len(files)), "failures": str(failures), "errors": str(faults), "skipped": "0"}


def _case(suite: etree._Element, file: FileTally, folder: str) -> None:
    name = PurePosixPath(file.name).name
    case = etree.SubElement(suite, "testcase", {"classname": folder, "name": legal(name)})
    failing = file.failing
    if failing:
        first = failing[0].finding
        more = f" (and {len(failing) - 1} more)" if failing[1:] else ""
        kind = "error" if file.fault else "failure"
        told = {"type": first.code.slug, "message": legal(f"{place(first)} {said(first)}{more}")}
        etree.SubElement(case, kind, told).text = legal(_lines(failing))
    others = [one for one in file.noted if not one.fails]
    if others:
        etree.SubElement(case, "system-out").text = legal(_lines(others))


def _lines(noted: Iterable[Noted]) -> str:
    return "\n".join(_line(one) for one in noted)


def _line(one: Noted) -> str:
    known = "known " if one.known else ""
    return f"{place(one.finding)} {known}{one.finding.severity.value} {one.finding.code.slug}: {said(one.finding)}"
