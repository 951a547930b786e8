"""What stands at the head of a measure: divisions, key, metre, clefs, the lines of the tablature and their tuning."""

from __future__ import annotations

from collections.abc import Iterable

from lxml.etree import SubElement, _Element

from pipeline.model.instrument import Course, Instrument
from pipeline.model.pitch import SpelledPitch
from pipeline.model.score import Measure, Score, VocalStaff
from pipeline.model.signs import Signs
from pipeline.model.time import WHOLE, Metre
from pipeline.writers.musicxml.pen import Pen
from pipeline.writers.musicxml.rows import row

#: Beats in which the length of a bar without metre is told.
_UNITS = (4, 8, 16, 32, 64)


def staff_attributes(element: _Element, measure: Measure, pen: Pen, *, first: bool) -> None:
    """``attributes``: divisions, key, time, staves, part-symbol, clef (2); left out where nothing changes."""
    if not first and measure.metre is None and measure.fifths is None:
        return
    attributes = row(element, "attributes")
    if first:
        SubElement(attributes, "divisions").text = str(pen.divisions)
    if measure.fifths is not None:
        SubElement(SubElement(attributes, "key"), "fifths").text = str(measure.fifths)
    if measure.metre is not None:
        _time(attributes, measure, measure.metre, first=first)
    if first:
        SubElement(attributes, "staves").text = "2"
        SubElement(attributes, "part-symbol").text = "brace"
        for number, clef in enumerate(pen.clefs, start=1):
            _clef(attributes, clef.sign[0], clef.sign[1:], number=str(number), octaves=clef.octaves)


def sung_attributes(element: _Element, measure: Measure, staff: VocalStaff, pen: Pen, *, first: bool) -> None:
    """``attributes``: divisions, key, time, clef of a vocal or bass staff. Its signature is its own, and stays, unless
    it follows that of the measures."""
    new_key = not first and staff.follows and measure.fifths is not None
    if not first and measure.metre is None and not new_key:
        return
    attributes = row(element, "attributes")
    if first:
        SubElement(attributes, "divisions").text = str(pen.divisions)
        SubElement(SubElement(attributes, "key"), "fifths").text = str(staff.fifths)
    elif new_key:
        SubElement(SubElement(attributes, "key"), "fifths").text = str(measure.fifths)
    if measure.metre is not None:
        _time(attributes, measure, measure.metre, first=first)
    if first:
        _clef(attributes, staff.clef[0], staff.clef[1:], octaves=-1 if staff.octave_down else 0)


def tablature_attributes(element: _Element, measure: Measure, score: Score, pen: Pen, *, first: bool) -> None:
    """``attributes``: divisions, time, clef, staff-details; left out where nothing changes."""
    if not first and measure.metre is None and measure.retuned is None:
        return
    attributes = row(element, "attributes")
    if first:
        SubElement(attributes, "divisions").text = str(pen.divisions)
    if measure.metre is not None:
        _time(attributes, measure, measure.metre, first=first, printed=True)
    if first:
        _clef(attributes, "TAB", "5")
    if first or measure.retuned is not None:
        _staff_details(attributes, measure.retuned or score.instrument, score)


def _time(attributes: _Element, measure: Measure, metre: Metre, *, first: bool, printed: bool = False) -> None:
    """``time``: beats and beat-type, or senza-misura. ``printed`` draws the sign of the source if it is known, else
    C and cut C stand where they mean what they mean today.

    Behind a measured bar senza-misura kills a widely used reader (a division by zero), so such bars have a time that
    is not printed: their own length.
    """
    if not metre.beats and first:
        SubElement(SubElement(attributes, "time"), "senza-misura")
        return
    if not metre.beats:
        time = SubElement(attributes, "time", {"print-object": "no"})
        unit = next((unit for unit in _UNITS if measure.ticks % (WHOLE // unit) == 0), _UNITS[-1])
        SubElement(time, "beats").text = str(max(1, measure.ticks * unit // WHOLE))
        SubElement(time, "beat-type").text = str(unit)
        return
    time = SubElement(attributes, "time")
    if printed and metre.sign == "none":
        time.set("print-object", "no")
    signs = {"C": "common", "C|": "cut", str(metre.beats): "single-number"}
    symbol = signs.get(metre.sign, "") if printed else metre.modern_sign
    if symbol:
        time.set("symbol", symbol)
    SubElement(time, "beats").text = str(metre.beats)
    SubElement(time, "beat-type").text = str(metre.unit)


def _clef(attributes: _Element, sign: str, line: str, *, number: str = "", octaves: int = 0) -> None:
    """``clef``: sign, line, clef-octave-change."""
    clef = SubElement(attributes, "clef", {"number": number} if number else {})
    SubElement(clef, "sign").text = sign
    SubElement(clef, "line").text = line
    if octaves:
        SubElement(clef, "clef-octave-change").text = str(octaves)


def _staff_details(attributes: _Element, instrument: Instrument, score: Score) -> None:
    """``staff-details``: staff-lines, staff-tuning for each line from the bottom.

    Course 1 is the bottom line of Italian tablature, unless declared otherwise, and the top line of French tablature.
    """
    letters = score.signs is Signs.FRENCH
    details = SubElement(attributes, "staff-details", {"show-frets": "letters" if letters else "numbers"})
    SubElement(details, "staff-lines").text = str(score.lines)
    on_lines = instrument.courses[: score.lines]
    for course in reversed(on_lines) if score.course_1_above else on_lines:
        line = score.lines + 1 - course.number if score.course_1_above else course.number
        _tuning(SubElement(details, "staff-tuning", line=str(line)), course.pitch)


def scordatura(element: _Element, courses: Iterable[Course]) -> None:
    """``direction``: direction-type (scordatura: accord for each course): courses whose tuning no line shows."""
    direction = row(element, "direction", {"placement": "above"})
    strings = SubElement(SubElement(direction, "direction-type"), "scordatura")
    for course in courses:
        _tuning(SubElement(strings, "accord", string=str(course.number)), course.pitch)


def _tuning(parent: _Element, pitch: SpelledPitch) -> None:
    """tuning-step, tuning-alter, tuning-octave."""
    SubElement(parent, "tuning-step").text = pitch.step
    if pitch.alter:
        SubElement(parent, "tuning-alter").text = str(pitch.alter)
    SubElement(parent, "tuning-octave").text = str(pitch.octave)
