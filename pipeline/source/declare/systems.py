"""How the systems lie on the image of a folio: one line of the heading, in percent of the image."""

from __future__ import annotations

import re
from collections.abc import Iterator

from pipeline.findings.codes.heading import HEADING_VALUE
from pipeline.model.diagnostics import Diagnostic, Outcome
from pipeline.model.heading import Systems, Zone
from pipeline.model.tablature import HeadingLine
from pipeline.source.declare.fields import Field

#: More systems stand on no page.
MOST = 30
_NUMBER = r"\d{1,3}(?:\.\d{1,2})?"
_BAND = re.compile(rf"({_NUMBER}) ?- ?({_NUMBER})")
_EQUAL = re.compile(rf"([1-9]\d?) in ({_NUMBER}) ?- ?({_NUMBER})")
_ACROSS = re.compile(rf"across ({_NUMBER}) ?- ?({_NUMBER})")


def read_systems(line: HeadingLine) -> Outcome[Systems | None]:
    """zones = (band {"," band} | count "in" band) ["," "across" band] ;   band = percent "-" percent ;

    Percent of the image's height from its top; ``across`` of its width from its left. None, with findings, where a
    part cannot be read: zones that shift would show the wrong system."""
    reader = _Zones(line)
    zones = tuple(reader.read())
    return Outcome(None if reader.found else Systems(line.name, zones, line.span), tuple(reader.found))


class _Zones:
    """The parts of one line, and what is wrong with them."""

    def __init__(self, line: HeadingLine) -> None:
        self._name = line.name
        self._parts = list(Field(line.value, line.value_span).split(","))
        self.found: list[Diagnostic] = []

    def read(self) -> Iterator[Zone]:
        left, right = self._across()
        first = self._parts[0] if self._parts else None
        equal = _EQUAL.fullmatch(first.text) if first is not None else None
        bands = list(self._equal(equal, first)) if equal and first else [self._band(part) for part in self._parts]
        if equal and len(self._parts) > 1:
            self._wrong(self._parts[1], "only “across” after a number of systems", "")
        if not bands and not self.found and first is not None:
            self._wrong(first, "where each system lies", "")
        before = -1.0
        for part, band in zip(self._parts if not equal else [first] * len(bands), bands, strict=True):
            if band is None or part is None:
                continue
            if band[0] <= before:
                self._wrong(part, "a system below the one before it", "The systems stand in their order from the top.")
            before = band[0]
            yield Zone(band[0], band[1], left, right)

    def _across(self) -> tuple[float, float]:
        last = self._parts[-1]
        match = _ACROSS.fullmatch(last.text)
        if match is None or len(self._parts) < 2:
            return 0.0, 100.0
        self._parts.pop()
        return self._percents(last, match[1], match[2]) or (0.0, 100.0)

    def _equal(self, match: re.Match[str], part: Field) -> Iterator[tuple[float, float]]:
        band = self._percents(part, match[2], match[3])
        if band is None:
            return
        count = int(match[1])
        if count > MOST:
            self._wrong(part, f"at most {MOST} systems", "")
            return
        step = (band[1] - band[0]) / count
        for number in range(count):
            yield round(band[0] + number * step, 2), round(band[0] + (number + 1) * step, 2)

    def _band(self, part: Field) -> tuple[float, float] | None:
        match = _BAND.fullmatch(part.text)
        if match is None:
            self._wrong(part, "where a system begins and ends, in percent of the image’s height", "")
            return None
        return self._percents(part, match[1], match[2])

    def _percents(self, part: Field, one: str, two: str) -> tuple[float, float] | None:
        start, end = float(one), float(two)
        if start < end <= 100:
            return start, end
        self._wrong(part, "two numbers up to 100, the smaller first", "")
        return None

    def _wrong(self, part: Field, what: str, hint: str) -> None:
        example = (
            f"For example: systems {self._name} = 8-20, 24-36, 40-52 or systems {self._name} = 5 in 8-92, across 6-94"
        )
        message = f"Expected {what}, not “{part.text}”."
        self.found.append(part.wrong(HEADING_VALUE, message, hint or example))
