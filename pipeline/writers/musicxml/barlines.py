"""Bar lines, repeats and endings, and how measures are numbered."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from lxml.etree import SubElement, _Element

from pipeline.model.score import BarStyle, Ending, Measure
from pipeline.writers.musicxml.rows import row

_STARTS = {BarStyle.REPEAT_START, BarStyle.REPEAT_BOTH}
_ENDS = {BarStyle.REPEAT_END, BarStyle.REPEAT_BOTH}
_STYLES = {
    BarStyle.NONE: "none",
    BarStyle.DOUBLE: "light-light",
    BarStyle.FINAL: "light-heavy",
    BarStyle.DASHED: "dashed",
    BarStyle.DOTTED: "dotted",
}


@dataclass(frozen=True, slots=True)
class Frame:
    """What frames one measure, the same in every part.

    ``attributes`` are those of ``measure``; ``opens``/``closes`` say that a repeat begins or ends at its left
    or right line.
    """

    attributes: dict[str, str]
    left: BarStyle
    right: BarStyle
    opens: bool
    closes: bool
    ending: Ending | None
    first: bool


def frames(measures: tuple[Measure, ...]) -> list[Frame]:
    """The frame of each measure. A repeat sign noted at either side of a bar line holds for both its sides."""
    opens = [False] * (len(measures) + 1)
    closes = [False] * (len(measures) + 1)
    for index, measure in enumerate(measures):
        opens[index] |= measure.left in _STARTS
        closes[index] |= measure.left in _ENDS
        opens[index + 1] |= measure.right in _STARTS
        closes[index + 1] |= measure.right in _ENDS
    return [
        Frame(attributes, measure.left, measure.right, opens[index], closes[index + 1], measure.ending, index == 0)
        for index, (measure, attributes) in enumerate(zip(measures, _numbers(measures), strict=True))
    ]


def _numbers(measures: tuple[Measure, ...]) -> Iterator[dict[str, str]]:
    """``number``: the printed label; 0 for an upbeat at the start; X1, X2 … for other bars without a label.

    A label that comes again gets a unique number and keeps its words in ``text``.
    """
    used: set[str] = set()
    unlabelled = 0
    for index, measure in enumerate(measures):
        label = measure.label.strip()
        if label and label not in used:
            used.add(label)
            yield {"number": label}
        elif label:
            yield {"number": f"{label}-{measure.number}", "text": label}
        elif index == 0:
            yield {"number": "0", "implicit": "yes"}
        else:
            unlabelled += 1
            yield {"number": f"X{unlabelled}", "implicit": "yes"}


def left_barline(measure: _Element, frame: Frame) -> None:
    """``barline``: bar-style, ending, repeat; left out where nothing but a plain line stands."""
    style = "heavy-light" if frame.opens else _STYLES.get(frame.left, "")
    starts = frame.ending is not None and frame.ending.starts
    if style in {"", "none"} and not starts:
        return
    barline = row(measure, "barline", {"location": "left"})
    if style not in {"", "none"}:
        SubElement(barline, "bar-style").text = style
    if frame.ending is not None and starts:
        _ending(barline, frame.ending, "start")
    if frame.opens:
        SubElement(barline, "repeat", direction="forward")


def right_barline(measure: _Element, frame: Frame) -> None:
    """``barline``: bar-style, ending, repeat; left out where nothing but a plain line stands."""
    style = "light-heavy" if frame.closes else _STYLES.get(frame.right, "")
    ends = frame.ending is not None and frame.ending.ends
    if not style and not ends:
        return
    barline = row(measure, "barline", {"location": "right"})
    if style:
        SubElement(barline, "bar-style").text = style
    if frame.ending is not None and ends:
        shut = frame.closes or frame.right is BarStyle.FINAL
        _ending(barline, frame.ending, "stop" if shut else "discontinue")
    if frame.closes:
        SubElement(barline, "repeat", direction="backward")


def _ending(barline: _Element, ending: Ending, kind: str) -> None:
    SubElement(barline, "ending", number=str(ending.number), type=kind)
