"""The instrument: preset, courses, diapasons, what runs over the fingerboard."""

from __future__ import annotations

import re
from difflib import get_close_matches

from pipeline.findings.codes.heading import HEADING_VALUE, NO_INSTRUMENT, TUNING, UNKNOWN_INSTRUMENT
from pipeline.findings.codes.limits import TOO_MUCH
from pipeline.model.diagnostics import Diagnostic, Outcome
from pipeline.model.instrument import Course, Instrument
from pipeline.model.limits import MOST_COURSES
from pipeline.model.pitch import SpelledPitch
from pipeline.model.presets import FALLBACK, PRESETS, find_preset
from pipeline.model.record import replace
from pipeline.model.text import Span
from pipeline.source.declare.fields import Field

_PITCH = re.compile(r"([A-G])(##?|bb?)?([0-9])")
_TUNED = re.compile(r"([1-9][0-9]?) ?= ?(\S.*)")
_FEWER = re.compile(r"(.+), ([1-9][0-9]?) courses")
#: A hint names no more instruments than this.
MOST_NEAR = 6
_PITCH_HINT = "Pitches are typed F#2, Bb1, C4 (middle C); strings of one course G2+G3"


def read_pitch(field: Field) -> Outcome[SpelledPitch | None]:
    """pitch = "A" … "G" ["#" | "##" | "b" | "bb"] octave ;"""
    match = _PITCH.fullmatch(field.text)
    if match is None:
        return Outcome(None, (field.wrong(TUNING, f"Expected a pitch, not “{field.text}”.", _PITCH_HINT),))
    sign = match[2] or ""
    return Outcome(SpelledPitch(match[1], sign.count("#") - sign.count("b"), int(match[3])))


def read_strings(field: Field) -> Outcome[tuple[SpelledPitch, ...]]:
    """strings = pitch {"+" pitch} ;   empty, with findings, if one of them makes no sense"""
    read = [read_pitch(part) for part in field.split("+")]
    found = tuple(finding for outcome in read for finding in outcome.diagnostics)
    if found:
        return Outcome((), found)
    return Outcome(tuple(outcome.value for outcome in read if outcome.value is not None))


def read_tuned(field: Field) -> Outcome[Course | None]:
    """tuned = course "=" strings ;"""
    match = _TUNED.fullmatch(field.text)
    if match is None:
        message = f"Expected a course and its pitch, not “{field.text}”."
        return Outcome(None, (field.wrong(TUNING, message, "For example: 8 = F#2"),))
    strings = read_strings(field.part(*match.span(2)))
    return Outcome(Course(int(match[1]), strings.value) if strings.value else None, strings.diagnostics)


def retune(instrument: Instrument, text: str, span: Span) -> Outcome[Instrument]:
    """retune = tuned {"," tuned} ;   the instrument with these courses anew; what makes no sense, or names a course
    that it lacks, is left out with a finding; an instrument of unknown tuning stays so"""
    if not instrument.courses:
        return Outcome(instrument)
    found: list[Diagnostic] = []
    courses = list(instrument.courses)
    for part in Field(text, span).split(","):
        tuned = read_tuned(part)
        found.extend(tuned.diagnostics)
        if tuned.value is None:
            continue
        if tuned.value.number > len(courses):
            message = f"The instrument has {len(courses)} courses, no course {tuned.value.number}."
            found.append(part.wrong(TUNING, message, "Declare it in the heading: course 15 = F1"))
            continue
        courses[tuned.value.number - 1] = tuned.value
    return Outcome(replace(instrument, courses=tuple(courses)), tuple(found))


# --- the heading's instrument -----------------------------------------------------------------------------


def read_instrument(
    name: Field | None,
    courses: tuple[tuple[int, Field], ...],
    stopped: Field | None,
    frets: Field | None,
    start: Span,
    *,
    spoilt: bool = False,
) -> Outcome[Instrument]:
    """The instrument that the heading declares: a preset or any name, with the courses that are tuned anew.

    ``courses`` are numbers with their pitches; ``start`` is where to report that nothing is declared; ``spoilt`` says
    that the line which may declare it could not be read, and has been reported.
    """
    found: list[Diagnostic] = []
    tuned: dict[int, tuple[Course, Field]] = {}
    for number, field in courses:
        strings = read_strings(field)
        found.extend(strings.diagnostics)
        if strings.value:
            tuned[number] = (Course(number, strings.value), field)
    base = _named(name.text) if name else None
    if base is None:
        complete = set(tuned) == set(range(1, len(tuned) + 1)) and bool(tuned)
        if complete and not found:
            base = Instrument(name.text if name else "instrument", (), min(6, len(tuned)))
        elif name is not None or spoilt:
            found.extend((_unknown(name, start),) if name is not None else ())
            return Outcome(Instrument(name.text if name else "instrument", ()), tuple(found))
        else:
            found.append(_unknown(name, start))
            base = FALLBACK.instrument
    instrument = _with_courses(base, tuned, found)
    instrument = _with_stopped(instrument, stopped, found)
    return Outcome(_with_frets(instrument, frets, found), tuple(found))


def _named(name: str) -> Instrument | None:
    """instrument = preset [ "," n "courses" ] ;   with fewer courses than the preset has, if so named"""
    preset = find_preset(name)
    if preset is not None:
        return preset.instrument
    match = _FEWER.fullmatch(name)
    preset = find_preset(match[1]) if match else None
    if match is None or preset is None or not 1 <= int(match[2]) <= len(preset.instrument.courses):
        return None
    count = int(match[2])
    whole = preset.instrument
    stopped, fretted = min(whole.stopped, count), min(whole.fretted, count)
    return replace(whole, name=name, courses=whole.courses[:count], stopped=stopped, fretted=fretted)


def _unknown(name: Field | None, start: Span) -> Diagnostic:
    if name is None:
        message = "Expected an instrument in the heading; a theorbo in A is assumed."
        return Diagnostic(NO_INSTRUMENT, start, message, "For example: instrument theorbo in A")
    names = [preset.name for preset in PRESETS]
    near = [each for each in names if each.startswith(name.text)][:MOST_NEAR]
    near = near or get_close_matches(name.text, names, 3, 0.6)
    hint = f"Perhaps {' · '.join(near)}" if near else "longneck instruments lists the names that are known"
    message = f"No tuning is known for “{name.text}”: the signs are read, and no pitch is claimed."
    return name.wrong(UNKNOWN_INSTRUMENT, message, f"{hint}; or declare every course: course 1 = A3 …")


def _with_courses(base: Instrument, tuned: dict[int, tuple[Course, Field]], found: list[Diagnostic]) -> Instrument:
    """The courses laid over those of the base; new ones only without a gap."""
    courses = list(base.courses)
    beyond = next((number for number in sorted(tuned) if number > MOST_COURSES), None)
    if beyond is not None:
        message = f"An instrument has {MOST_COURSES} courses at most; course {beyond} and higher are left out."
        found.append(tuned[beyond][1].wrong(TOO_MUCH, message, "Remove these lines."))
        tuned = {number: course for number, course in tuned.items() if number <= MOST_COURSES}
    for number in sorted(tuned):
        course, field = tuned[number]
        if number <= len(courses):
            courses[number - 1] = course
        elif number == len(courses) + 1:
            courses.append(course)
        else:
            message = f"Expected course {len(courses) + 1} before course {number}."
            found.append(field.wrong(TUNING, message, "Courses are counted without a gap."))
    return replace(base, courses=tuple(courses))


def _with_stopped(instrument: Instrument, field: Field | None, found: list[Diagnostic]) -> Instrument:
    """stopped = n ;   how many courses run over the fingerboard"""
    if field is None:
        return instrument
    if re.fullmatch(r"[1-9][0-9]?", field.text) and int(field.text) <= len(instrument.courses):
        return replace(instrument, stopped=int(field.text))
    message = f"Expected the number of stopped courses (of {len(instrument.courses)}), not “{field.text}”."
    found.append(field.wrong(HEADING_VALUE, message, "For example: stopped 7"))
    return instrument


def _with_frets(instrument: Instrument, field: Field | None, found: list[Diagnostic]) -> Instrument:
    """frets = tied ["," highest] ;"""
    if field is None:
        return instrument
    match = re.fullmatch(r"([1-9][0-9]?)(?:, ?([1-9][0-9]?))?", field.text)
    if match is None or (match[2] and int(match[2]) < int(match[1])):
        message = f"Expected the number of tied frets, not “{field.text}”."
        found.append(field.wrong(HEADING_VALUE, message, "For example: frets 8, or with body frets: frets 8, 12"))
        return instrument
    tied = int(match[1])
    highest = int(match[2]) if match[2] else max(tied, instrument.highest_fret)
    return replace(instrument, tied_frets=tied, highest_fret=highest)
