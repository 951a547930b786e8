"""The findings of a whole run for other programs, one form a module: a tally to bytes, part by part."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType

from pipeline.findings.machine.annotations import write_annotations
from pipeline.findings.machine.junit import write_junit
from pipeline.findings.machine.report import write_report
from pipeline.findings.machine.sarif import write_sarif
from pipeline.findings.machine.summary import write_summary
from pipeline.findings.tally import Tally

__all__ = ["WRITERS"]

#: What ``--report FORM=FILE`` can ask for.
WRITERS: Mapping[str, Callable[[Tally], Iterator[bytes]]] = MappingProxyType(
    {
        "json": write_report,
        "sarif": write_sarif,
        "junit": write_junit,
        "github": write_annotations,
        "markdown": write_summary,
    }
)
