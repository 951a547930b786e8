"""``scoreDef``: staves, tuning, keys and metres, and their changes."""

from __future__ import annotations

from pipeline.model.instrument import Instrument
from pipeline.model.pitch import SpelledPitch
from pipeline.model.score import Measure, Score
from pipeline.model.tablature import Signs
from pipeline.model.time import Metre
from pipeline.writers.mei.names import (
    METER_SIG,
    SCORE_DEF,
    STAFF_DEF,
    STAFF_GRP,
    STAFF_NUMBERS,
    TAB_STAFF,
    Element,
    key_signature,
    name,
    sub,
)
from pipeline.writers.mei.symbols import Symbols
from pipeline.writers.mei.titles import write_page_head

_TUNING, _COURSE, _KEY_SIG = name("tuning"), name("course"), name("keySig")
_CLEFS = {"2": ("G", "2"), "3": ("F", "4")}
_ALTERED = {1: "s", -1: "f", 2: "ss", -2: "ff"}


#: Half a staff space at the usual size, in millimetres.
_UNIT = 0.775


def write_score_def(parent: Element, score: Score, symbols: Symbols, size: float) -> None:
    """The definition at the head, staves ``size`` times as high as usual. Children in order: symbolTable, pgHead,
    staffGrp."""
    definition = sub(parent, SCORE_DEF, {"ending.rend": "top", "vu.height": f"{_UNIT * size:.4g}mm"})
    symbols.write(definition)
    write_page_head(definition, score.credits)
    first = score.measures[0] if score.measures else None
    metre = first.metre if first else None
    outer = sub(definition, STAFF_GRP, {"bar.thru": "true"})
    kind = "french" if score.signs is Signs.FRENCH else "italian"
    tab = sub(
        outer,
        STAFF_DEF,
        {"n": TAB_STAFF, "lines": str(score.lines), "notationtype": f"tab.lute.{kind}", "scale": "80%"},
    )
    if metre is not None:
        write_printed_metre(tab, metre)
    _write_tuning(tab, score.instrument)
    inner = sub(outer, STAFF_GRP, {"symbol": "brace", "bar.thru": "true"})
    for number in STAFF_NUMBERS.values():
        shape, line = _CLEFS[number]
        staff = {"n": number, "lines": "5", "clef.shape": shape, "clef.line": line}
        staff["keysig"] = key_signature(first.fifths or 0 if first else 0)
        if metre is not None and metre.beats:
            staff |= {"meter.count": str(metre.beats), "meter.unit": str(metre.unit)}
        sub(inner, STAFF_DEF, staff)


def write_change(parent: Element, measure: Measure) -> None:
    """A change of key or metre before a measure; the printed metre of the tablature stands in its layer."""
    if measure.fifths is None and (measure.metre is None or not measure.metre.beats):
        return
    group = sub(sub(parent, SCORE_DEF), STAFF_GRP)
    for number in STAFF_NUMBERS.values():
        staff = sub(group, STAFF_DEF, {"n": number})
        if measure.fifths is not None:
            sub(staff, _KEY_SIG, {"sig": key_signature(measure.fifths)})
        if measure.metre is not None and measure.metre.beats:
            sub(staff, METER_SIG, {"count": str(measure.metre.beats), "unit": str(measure.metre.unit)})


def write_retuning(parent: Element, instrument: Instrument) -> None:
    """A new tuning of the tablature staff before a measure."""
    group = sub(sub(parent, SCORE_DEF), STAFF_GRP)
    _write_tuning(sub(group, STAFF_DEF, {"n": TAB_STAFF}), instrument)


def write_printed_metre(parent: Element, metre: Metre, *, first: bool = False) -> None:
    """``meterSig`` as the source prints it; nothing where it prints none."""
    attributes = printed_metre(metre)
    if not attributes:
        return
    signature = parent.makeelement(METER_SIG, attributes)
    if first:
        parent.insert(0, signature)
    else:
        parent.append(signature)


def printed_metre(metre: Metre) -> dict[str, str]:
    """The attributes of a printed sign: C and cut C, a figure alone, a fraction."""
    sign = metre.sign.strip()
    timing = {"count": str(metre.beats), "unit": str(metre.unit)} if metre.beats else {}
    if sign in ("C", "c"):
        return {"sym": "common", **timing}
    if sign in ("C|", "¢", "c|"):
        return {"sym": "cut", **timing}
    upper, _, lower = sign.partition("/")
    if upper.isdecimal() and lower.isdecimal():
        return {"count": upper, "unit": lower}
    if upper.isdecimal() and not lower:
        return {"count": upper, "unit": str(metre.unit or 4), "form": "num"}
    return timing if sign not in ("", "none") else {}


def _write_tuning(staff: Element, instrument: Instrument) -> None:
    tuning = sub(staff, _TUNING)
    for course in instrument.courses:
        attributes = {"n": str(course.number), **_pitch(course.pitch)}
        element = sub(tuning, _COURSE, attributes)
        if len(course.strings) > 1:
            for number, string in enumerate(course.strings, start=1):
                sub(element, name("string"), {"n": str(number), **_pitch(string)})


def _pitch(pitch: SpelledPitch) -> dict[str, str]:
    attributes = {"pname": pitch.step.lower(), "oct": str(pitch.octave)}
    if pitch.alter:
        attributes["accid"] = _ALTERED[pitch.alter]
    return attributes
