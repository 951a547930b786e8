"""``scoreDef``: staves, tuning, keys and metres, and their changes."""

from __future__ import annotations

from pipeline.model.instrument import Instrument
from pipeline.model.notes import UPPER_STAFF
from pipeline.model.pitch import SpelledPitch
from pipeline.model.score import Measure, Score, VocalStaff
from pipeline.model.time import Metre
from pipeline.model.xmltext import legal
from pipeline.writers.mei.names import (
    LABEL,
    LABEL_ABBR,
    METER_SIG,
    SCORE_DEF,
    STAFF_DEF,
    STAFF_GRP,
    Element,
    key_signature,
    name,
    sub,
)
from pipeline.writers.mei.numbers import StaffNumbers, leaves_out, staff_numbers
from pipeline.writers.mei.symbols import Symbols
from pipeline.writers.mei.titles import write_page_head

_TUNING, _COURSE, _KEY_SIG = name("tuning"), name("course"), name("keySig")
#: The accompaniment under a voice is printed smaller.
_BESIDE_A_VOICE = "85%"
_ALTERED = {1: "s", -1: "f", 2: "ss", -2: "ff"}


#: Half a staff space at the usual size, in millimetres.
_UNIT = 0.775


def write_score_def(parent: Element, score: Score, symbols: Symbols, size: float) -> None:
    """The definition at the head, staves ``size`` times as high as usual. Children in order: symbolTable, pgHead,
    staffGrp."""
    definition = sub(parent, SCORE_DEF, {"ending.rend": "top", "vu.height": f"{_UNIT * size:.4g}mm"})
    if leaves_out(score):
        definition.set("optimize", "true")
    symbols.write(definition)
    write_page_head(definition, score.credits)
    first = score.measures[0] if score.measures else None
    metre = first.metre if first else None
    numbers = staff_numbers(score)
    if not score.vocal:
        _write_instrument(definition, score, numbers, symbols)
        return
    group = sub(definition, STAFF_GRP)
    short = _abbreviations(score)
    for staff in score.vocal:
        if not staff.bass:
            _write_sung(group, staff, numbers, metre, short)
    _write_instrument(group, score, numbers, symbols)
    for staff in score.vocal:
        if staff.bass:
            _write_sung(group, staff, numbers, metre, short)


def _write_instrument(parent: Element, score: Score, numbers: StaffNumbers, symbols: Symbols) -> None:
    """The staves of the instrument, bar lines from staff to staff: the tablature, and the two staves in a brace."""
    first = score.measures[0] if score.measures else None
    metre = first.metre if first else None
    outer = parent
    if score.tablature:
        outer = sub(parent, STAFF_GRP, {"bar.thru": "true"})
        _write_tab(outer, score, numbers, metre)
    if not numbers.pair:
        return
    inner = sub(outer, STAFF_GRP, {"symbol": "brace", "bar.thru": "true"})
    if not score.tablature:
        _title(inner, score)
    for place, number in numbers.pair.items():
        clef = score.clefs[0 if place == UPPER_STAFF else 1]
        attributes = {"n": number, "lines": "5", "clef.shape": clef.sign[0], "clef.line": clef.sign[1]}
        if clef.octaves:
            attributes |= {"clef.dis": "8", "clef.dis.place": "above" if clef.octaves > 0 else "below"}
        attributes["keysig"] = key_signature(first.fifths or 0 if first else 0)
        if score.vocal:
            attributes["scale"] = _BESIDE_A_VOICE
        sub(inner, STAFF_DEF, attributes | _metre_attributes(metre))


def _title(group: Element, score: Score) -> None:
    if score.accompaniment_title:
        sub(group, LABEL).text = legal(score.accompaniment_title)


def _write_tab(group: Element, score: Score, numbers: StaffNumbers, metre: Metre | None) -> None:
    kind = "french" if score.course_1_above else "italian"
    tab = sub(
        group,
        STAFF_DEF,
        {"n": numbers.tab, "lines": str(score.lines), "notationtype": f"tab.lute.{kind}", "scale": "80%"},
    )
    _title(tab, score)
    if metre is not None:
        write_printed_metre(tab, metre)
    _write_tuning(tab, score.instrument)


def _abbreviations(score: Score) -> dict[str, str]:
    """Staff name → what stands before it from the second line on, where several voices must be told apart: the
    initials of its title, or the whole title where two voices have the same."""
    titles = {staff.name: staff.title for staff in score.vocal if staff.title}
    if sum(not staff.bass for staff in score.vocal) < 2:
        return {}
    short = {name: "".join(f"{word[0]}." for word in title.split()) for name, title in titles.items()}
    known = list(short.values())
    return {name: text if known.count(text) == 1 else titles[name] for name, text in short.items()}


def _write_sung(
    group: Element, staff: VocalStaff, numbers: StaffNumbers, metre: Metre | None, short: dict[str, str]
) -> None:
    attributes = {"n": numbers.sung[staff.name], "lines": "5", "clef.shape": staff.clef[0], "clef.line": staff.clef[1]}
    if staff.octave_down:
        attributes |= {"clef.dis": "8", "clef.dis.place": "below"}
    attributes["keysig"] = key_signature(staff.fifths)
    if staff.bass and (numbers.tab or numbers.pair):
        attributes["scale"] = _BESIDE_A_VOICE
    element = sub(group, STAFF_DEF, attributes | _metre_attributes(metre))
    if staff.title:
        sub(element, LABEL).text = legal(staff.title)
    if staff.name in short:
        sub(element, LABEL_ABBR).text = legal(short[staff.name])


def _metre_attributes(metre: Metre | None) -> dict[str, str]:
    """The metre at the head of a staff."""
    return {f"meter.{key}": value for key, value in _modern_metre(metre).items()}


def _modern_metre(metre: Metre | None) -> dict[str, str]:
    """The metre as a modern staff prints it: C and cut C where they mean what they mean today, else a fraction."""
    if metre is None or not metre.beats:
        return {}
    attributes = {"count": str(metre.beats), "unit": str(metre.unit)}
    modern = metre.modern_sign
    if modern:
        attributes["sym"] = modern
    return attributes


def write_change(parent: Element, measure: Measure, score: Score, numbers: StaffNumbers) -> None:
    """A change of key or metre before a measure; the printed metre of the tablature stands in its layer. A voice
    keeps its key, unless it follows that of the measures."""
    metre = measure.metre if measure.metre is not None and measure.metre.beats else None
    following = [numbers.sung[staff.name] for staff in score.vocal if staff.follows]
    in_key = {*numbers.pair.values(), *following}
    changed = {*in_key, *(numbers.sung.values() if metre is not None else ())}
    if not changed or (measure.fifths is None and metre is None):
        return
    group = sub(sub(parent, SCORE_DEF), STAFF_GRP)
    for number in sorted(changed, key=int):
        staff = sub(group, STAFF_DEF, {"n": number})
        if measure.fifths is not None and number in in_key:
            sub(staff, _KEY_SIG, {"sig": key_signature(measure.fifths)})
        if metre is not None:
            sub(staff, METER_SIG, _modern_metre(metre))


def write_retuning(parent: Element, instrument: Instrument, number: str) -> None:
    """A new tuning of the tablature staff before a measure."""
    group = sub(sub(parent, SCORE_DEF), STAFF_GRP)
    _write_tuning(sub(group, STAFF_DEF, {"n": number}), instrument)


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
