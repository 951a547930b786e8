"""The run as JUnit XML, the form in which most services for continuous integration read test results.

No standard defines it. Kept to what its readers agree on: suites, cases, failures, errors, system-out. A piece is a
case; what fails it, all in one failure; what does not, in its output. No times: they would differ from run to run.
"""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import PurePosixPath

from lxml import etree

from pipeline.findings.machine.sealing import sealed_xml
from pipeline.findings.machine.words import place, said
from pipeline.findings.tally import FileTally, Noted, Tally
from pipeline.model.xmltext import legal

#: What the top folder of the collection is called.
TOP = "collection"
INDENT = b"  "


@dataclass(slots=True)
class _Folder:
    """The places of a folder's files in the tally, and what became of them."""

    files: array[int] = field(default_factory=lambda: array("L"))
    failures: int = 0
    faults: int = 0

    def add(self, number: int, file: FileTally) -> None:
        self.files.append(number)
        self.failures += bool(file.failing) and not file.fault
        self.faults += file.fault


def write_junit(tally: Tally) -> Iterator[bytes]:
    """One suite for each folder, in order; UTF-8 with XML declaration."""
    folders: dict[str, _Folder] = {}
    for number, file in enumerate(tally.files):
        folders.setdefault(PurePosixPath(file.name).parent.as_posix(), _Folder()).add(number, file)
    yield b"<?xml version='1.0' encoding='UTF-8'?>\n"
    yield _opening("testsuites", "longneck", folders.values(), 0)
    for folder in sorted(folders):
        name = TOP if folder == "." else legal(folder)
        yield _opening("testsuite", name, [folders[folder]], 1)
        for number in folders[folder].files:
            case = _case(tally.files[number], name)
            etree.indent(case, level=2)
            yield sealed_xml(INDENT * 2 + etree.tostring(case, encoding="UTF-8", xml_declaration=False) + b"\n")
        yield INDENT + b"</testsuite>\n"
    if folders:
        yield b"</testsuites>\n"


def _opening(tag: str, name: str, folders: Iterable[_Folder], level: int) -> bytes:
    """The line that opens a suite; of no folders, the whole of it."""
    several = tuple(folders)
    counts = {
        "tests": sum(len(one.files) for one in several),
        "failures": sum(one.failures for one in several),
        "errors": sum(one.faults for one in several),
        "skipped": 0,
    }
    element = etree.Element(tag, {"name": name, **{key: str(count) for key, count in counts.items()}})
    line = etree.tostring(element, encoding="UTF-8", xml_declaration=False)
    if several:
        line = line.removesuffix(b"/>") + b">"
    return sealed_xml(INDENT * level + line + b"\n")


def _case(file: FileTally, folder: str) -> etree._Element:
    name = PurePosixPath(file.name).name
    case = etree.Element("testcase", {"classname": folder, "name": legal(name)})
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
    return case


def _lines(noted: Iterable[Noted]) -> str:
    return "\n".join(_line(one) for one in noted)


def _line(one: Noted) -> str:
    known = "known " if one.known else ""
    return f"{place(one.finding)} {known}{one.finding.severity.value} {one.finding.code.slug}: {said(one.finding)}"
