"""Metre, key, value ratio, signatures: the words for time and tonality."""

from __future__ import annotations

import re
from fractions import Fraction

from pipeline.findings.codes.heading import HEADING_VALUE, KEY, METRE
from pipeline.model.diagnostics import Outcome
from pipeline.model.heading import Key
from pipeline.model.pitch import FIFTHS
from pipeline.model.text import Span
from pipeline.model.time import Metre
from pipeline.source.declare.fields import Field

#: Signs that stand alone, in printed values (common practice, no source). A lone figure counts crotchets, but 2
#: is two minims; anything else is said with =.
_SIGNS = {"C": (4, 4), "C|": (2, 2), "O": (3, 1), "2": (2, 2)}
_METRE = re.compile(r"(?P<sign>C\||C|O|none)? ?(?P<figure>[1-9]\d?(?:/(?:1|2|4|8|16|32))?)?(?: ?= ?(?P<read>\S+))?")
_FRACTION = re.compile(r"([1-9]\d?)/(1|2|4|8|16|32)")
_METRE_HINT = "Metres are C, C|, O, 3, 3/2, 6/4 …, none, or a sign with its reading: 3 = 3/2, none = 4/4"

#: Modes and the distance of their signature from that of the major key on the same tonic.
_MODES = {
    "major": 0, "ionian": 0, "lydian": 1, "mixolydian": -1, "dorian": -2, "minor": -3, "aeolian": -3, "phrygian": -4,
}  # fmt: skip
_KEY = re.compile(r"(?P<tonic>[A-G][#b]?) (?P<mode>\w+)(?:, (?P<signature>.+))?")
_SIGNATURE = re.compile(r"([1-7]) (flat|sharp)s?")

UNMEASURED = Metre("none", 0, 1)


def read_metre(text: str, span: Span, values: Fraction) -> Outcome[Metre | None]:
    """metre = ("C" | "C|" | "O") [figure] | figure | "none", each with [ "=" n "/" m ] ;  figure = n ["/" m] ;

    ``none`` alone is music without a metre, and gives one of no beats; ``none = 4/4`` is measured, and only prints no
    sign. The reading is in the edition's values: the printed one with its note value times ``values``. None, with a
    finding, if the text makes no sense.
    """
    field = Field(text, span)
    if text == "none":
        return Outcome(UNMEASURED)
    match = _METRE.fullmatch(text)
    printed = None
    if match and match["sign"] == "none":
        printed = _reading("", "", match["read"]) if match["read"] and not match["figure"] else None
    elif match and (match["sign"] or match["figure"]):
        printed = _reading(match["sign"] or "", match["figure"] or "", match["read"])
    if match is None or printed is None:
        return Outcome(None, (field.wrong(METRE, f"Expected a metre, not “{text}”.", _METRE_HINT),))
    sign = " ".join(part for part in (match["sign"], match["figure"]) if part)
    beats, unit = printed
    ratio = Fraction(unit) / values
    while ratio.denominator > 1 or ratio < 1:
        ratio, beats = ratio * 2, beats * 2
    if ratio.numerator & (ratio.numerator - 1) or ratio > 64:
        message = f"The metre {text} cannot be written in values of {values.numerator}:{values.denominator}."
        return Outcome(None, (field.wrong(METRE, message, _METRE_HINT),))
    return Outcome(Metre(sign, beats, ratio.numerator))


def _reading(sign: str, figure: str, read: str | None) -> tuple[int, int] | None:
    """Beats and unit of a sign as printed: the declared reading, else that of the figure, else of the sign."""
    if read is not None:
        match = _FRACTION.fullmatch(read)
        return (int(match[1]), int(match[2])) if match else None
    if "/" in figure:
        beats, _, unit = figure.partition("/")
        return int(beats), int(unit)
    if figure:
        return _SIGNS.get(figure, (int(figure), 4))
    return _SIGNS.get(sign)


def read_key(text: str, span: Span) -> Outcome[Key | None]:
    """key = tonic mode ["," signature] ;   None, with a finding, if the text makes no sense"""
    field = Field(text, span)
    match = _KEY.fullmatch(text)
    if match is None or match["mode"] not in _MODES:
        hint = f"For example: D minor, Bb major, G dorian; modes are {', '.join(_MODES)}"
        return Outcome(None, (field.wrong(KEY, f"Expected a key, not “{text}”.", hint),))
    tonic, mode = match["tonic"], match["mode"]
    fifths = FIFTHS[tonic[0]] + 7 * (tonic.count("#") - tonic.count("b")) + _MODES[mode]
    if match["signature"]:
        signature = read_signature(match["signature"])
        if signature is None:
            place = field.part(*match.span("signature"))
            message = f"Expected a key signature, not “{place.text}”."
            return Outcome(None, (place.wrong(KEY, message, "For example: 1 flat, 2 sharps, no accidentals"),))
        fifths = signature
    if abs(fifths) > 7:
        return Outcome(None, (field.wrong(KEY, f"The key {text} has more than seven accidentals."),))
    return Outcome(Key(tonic, mode, fifths))


def read_signature(text: str) -> int | None:
    """signature = n ("flat" | "flats" | "sharp" | "sharps") | "no accidentals" ;   as fifths, 1 flat = -1"""
    if text == "no accidentals":
        return 0
    match = _SIGNATURE.fullmatch(text)
    if match is None:
        return None
    return int(match[1]) * (1 if match[2] == "sharp" else -1)


def read_values(field: Field) -> Outcome[Fraction | None]:
    """values = n ":" m ;   n and m powers of two: 1:2 prints a minim as a crotchet"""
    match = re.fullmatch(r"(1|2|4|8) ?: ?(1|2|4|8)", field.text)
    if match is None:
        message = f"Expected a ratio of values, not “{field.text}”."
        hint = "Type 1:1, or 1:2 where a printed minim becomes a crotchet."
        return Outcome(None, (field.wrong(HEADING_VALUE, message, hint),))
    return Outcome(Fraction(int(match[1]), int(match[2])))
