"""Figured bass: columns of figures before the note that they stand under."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Protocol

from lxml.etree import SubElement, _Element

from pipeline.model.notes import Kind
from pipeline.model.score import FigureColumn
from pipeline.model.time import Ticks
from pipeline.model.xmltext import legal
from pipeline.writers.musicxml.pen import Pen
from pipeline.writers.musicxml.rows import row

_FIGURE = re.compile(r"(##|bb|[#bn])?([0-9]*)(##|bb|[#bn+])?")
_SIGNS = {"#": "sharp", "b": "flat", "n": "natural", "##": "double-sharp", "bb": "flat-flat", "+": "plus"}


class InTime(Protocol):
    """An event of a staff, as far as its place goes."""

    @property
    def id(self) -> str: ...
    @property
    def kind(self) -> Kind: ...
    @property
    def onset(self) -> Ticks: ...
    @property
    def ticks(self) -> Ticks: ...


def columns_under(
    columns: Iterable[FigureColumn], start: Ticks, layers: Sequence[Sequence[InTime]]
) -> dict[str, list[tuple[Ticks, FigureColumn]]]:
    """The columns by the id of the event before which they are written, each with its distance from the event's onset.

    ``start`` is the onset of the measure; ``layers`` are the events that figures may stand under, the lowest voice
    first. A column that no event of the measure reaches stands with the last one before it.
    """
    found: dict[str, list[tuple[Ticks, FigureColumn]]] = {}
    printed = [[event for event in layer if event.kind is not Kind.SPACE and event.ticks] for layer in layers]
    for column in sorted(columns, key=lambda column: column.offset):
        at = start + column.offset
        event = next(
            (event for layer in printed for event in layer if event.onset <= at < event.onset + event.ticks), None
        )
        if event is None:
            before = [event for layer in printed for event in layer if event.onset <= at]
            if not before:
                continue
            event = max(before, key=lambda event: event.onset)
        found.setdefault(event.id, []).append((at - event.onset, column))
    return found


def figured_basses(measure: _Element, pen: Pen, columns: Sequence[tuple[Ticks, FigureColumn]], length: Ticks) -> None:
    """``figured-bass`` … under one note of ``length``: they have no place of their own, but follow each other from the
    note's onset by their durations, so a later beginning needs an empty one before it."""
    reached: Ticks = 0
    for number, (at, column) in enumerate(columns):
        if at > reached:
            _figured_bass(measure, pen, (), at - reached)
            reached = at
        behind = columns[number + 1][0] if number + 1 < len(columns) else length
        lasts = column.ticks if behind <= at else min(column.ticks, behind - at)
        level = "worked out from the tablature" if column.editorial else ""
        _figured_bass(measure, pen, column.rows, lasts, level)
        reached = at + lasts


def _figured_bass(measure: _Element, pen: Pen, rows: tuple[str, ...], ticks: Ticks, level: str = "") -> None:
    """``figured-bass``: figure (prefix, figure-number, suffix) …, duration, level."""
    element = row(measure, "figured-bass", {"placement": "below"})
    for typed in rows or ("",):
        _figure(SubElement(element, "figure"), typed)
    SubElement(element, "duration").text = str(max(1, ticks // pen.unit))
    if level:
        SubElement(element, "level").text = level


def _figure(figure: _Element, typed: str) -> None:
    """prefix, figure-number, suffix; an accidental alone is a prefix."""
    found = _FIGURE.fullmatch(typed)
    if found is None:
        SubElement(figure, "figure-number").text = legal(typed)
        return
    for name, content in (
        ("prefix", _SIGNS.get(found[1] or "", "")),
        ("figure-number", found[2]),
        ("suffix", _SIGNS.get(found[3] or "", "")),
    ):
        if content:
            SubElement(figure, name).text = content
