"""Figured bass and chord letters."""

from __future__ import annotations

from pipeline.model.notes import LOWER_STAFF, UPPER_STAFF, Editorial
from pipeline.model.score import ChordSign, FigureColumn, Measure
from pipeline.model.xmltext import legal
from pipeline.writers.mei.names import FB, FIGURE, HARM, REND, XML_ID, Element, stamp, sub
from pipeline.writers.mei.numbers import StaffNumbers
from pipeline.writers.mei.tablature import EDITORIAL_TYPES

#: How a figure's accidentals are typed, and how they are printed. A double sharp is a cross, never two sharps.
_CROSS = "×"
_PRINTED = str.maketrans({"#": "♯", "b": "♭", "n": "♮"})
#: All figures of a system stand in one row.
_ROW = "40"
#: Words over the tablature look larger beside its staff.
_CHORD_SIZE, _ON_TABLATURE = "88%", "67%"


def write_harmony(measure: Element, score_measure: Measure, numbers: StaffNumbers, beat: int) -> None:
    """Figures under their staff, then letters over theirs."""
    for column in score_measure.figures:
        _figures(measure, column, numbers, beat)
    for sign in score_measure.chord_signs:
        _letter(measure, sign, numbers, beat)


def _figures(measure: Element, column: FigureColumn, numbers: StaffNumbers, beat: int) -> None:
    at = {
        XML_ID: column.id,
        "tstamp": stamp(column.offset, beat),
        "staff": numbers.sung[column.staff] if column.staff else numbers.pair[LOWER_STAFF],
        "place": "below",
        "vgrp": _ROW,
    }
    if column.editorial:
        at["type"] = "editorial"
    figures = sub(sub(measure, HARM, at), FB)
    for row in column.rows:
        sub(figures, FIGURE).text = legal(row.replace("##", _CROSS).translate(_PRINTED))


def _letter(measure: Element, sign: ChordSign, numbers: StaffNumbers, beat: int) -> None:
    at = {
        XML_ID: sign.id,
        "tstamp": stamp(sign.offset, beat),
        "staff": numbers.sung[sign.staff] if sign.staff else numbers.tab or numbers.pair[UPPER_STAFF],
        "place": "above",
        "type": "chord-letter",
    }
    if sign.editorial is not Editorial.PLAIN:
        at["type"] += f" {EDITORIAL_TYPES[sign.editorial]}"
    size = _CHORD_SIZE if sign.staff or not numbers.tab else _ON_TABLATURE
    sub(sub(measure, HARM, at), REND, {"fontsize": size}).text = legal(_shown(sign))


def _shown(sign: ChordSign) -> str:
    """A name with its accidentals as signs; a letter of the source as it stands."""
    if not sign.named:
        return sign.text
    return sign.text.replace("##", _CROSS).replace("#", "♯").replace("b", "♭")
