"""What stands around the music: title and instrument at the head, the key to the signs at the foot."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from pipeline.model.heading import Heading
from pipeline.model.instrument import Course, Instrument
from pipeline.model.score import BarStyle, Credits, LegendEntry, Measure
from pipeline.model.signs import Signs

_NUMBERS = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight",
    "nine", "ten", "eleven", "twelve", "thirteen", "fourteen",
)  # fmt: skip
_FRENCH_DIAPASONS = ("a", "/a", "//a", "///a", "4", "5", "6", "7")


def credits_of(heading: Heading) -> Credits:
    """Title block: instrument and tuning on the left, composer and source on the right."""
    remarks = heading.remarks
    left = list(instrument_lines(heading.instrument, heading.signs))
    if heading.pitch is not None:
        left.append(f"A4 = {heading.pitch:g} Hz")
    right = [heading.composer] if heading.composer else []
    right.extend(witness.text for witness in heading.witnesses)
    return Credits(heading.title, remarks[0] if remarks else "", tuple(left), tuple(right))


def instrument_lines(instrument: Instrument, signs: Signs) -> Iterator[str]:
    """Name, stopped courses, diapasons."""
    count = len(instrument.courses)
    number = _NUMBERS[count] if count < len(_NUMBERS) else str(count)
    name = instrument.name[:1].upper() + instrument.name[1:]
    yield name if "courses" in name else f"{name}, {number} courses"
    stopped = instrument.courses[: instrument.stopped]
    diapasons = instrument.courses[instrument.stopped :]
    yield f"Courses 1–{len(stopped)}: " + " · ".join(_strings(course) for course in stopped)
    if diapasons:
        shown = (f"{diapason_sign(course.number, signs)} {_strings(course)}" for course in diapasons)
        yield "Diapasons: " + " · ".join(shown)


def diapason_sign(number: int, signs: Signs) -> str:
    """The sign of an open diapason in the declared system: course 10 is X, or ///a."""
    if signs is Signs.ITALIAN:
        return "X" if number == 10 else str(number)
    place = number - 7
    return _FRENCH_DIAPASONS[place] if 0 <= place < len(_FRENCH_DIAPASONS) else str(number)


def _strings(course: Course) -> str:
    return "+".join(dict.fromkeys(with_signs(string.name) for string in course.strings))


def with_signs(text: str) -> str:
    """Typed pitch names with real accidentals: F#2 becomes F♯2, Bb1 B♭1."""
    return re.sub(r"\b([A-G])([#b])(?=\d)", lambda found: found[1] + ("♯" if found[2] == "#" else "♭"), text)


def legend_of(measures: Sequence[Measure], heading: Heading) -> tuple[LegendEntry, ...]:
    """How to read this page: only the signs that the score uses; then the remarks that have no other place."""
    remarks = (LegendEntry("Remark:", remark) for remark in heading.remarks[1:])
    return (*_entries(measures, heading.signs), *ornament_entries(measures, heading), *remarks)


def ornament_entries(measures: Sequence[Measure], heading: Heading) -> Iterator[LegendEntry]:
    """The ornament signs that a score uses, as the heading declares them."""
    used = {
        ornament.printed
        for measure in measures
        for layer in measure.layers
        for event in layer.events
        for head in event.heads
        for ornament in head.ornaments
    }
    for mark in heading.marks:
        if mark.printed in used and mark.meaning:
            yield LegendEntry(mark.printed, f"{mark.meaning[:1].upper()}{mark.meaning[1:]}.")


def small_note_entries(measures: Sequence[Measure]) -> Iterator[LegendEntry]:
    """What the small notes mean, where there are any."""
    if any(event.small for m in measures for layer in m.layers for event in layer.events):
        yield LegendEntry(
            "Small notes:", "the first spread chord of a passage in the order it is played, the editor’s choice."
        )


def stemless_entries(measures: Sequence[Measure]) -> Iterator[LegendEntry]:
    """What notes without stems mean, where there are any."""
    if any(event.stemless for m in measures for layer in m.layers for event in layer.events):
        yield LegendEntry("Notes without stems:", "the source gives no values; play freely.")


def _entries(measures: Sequence[Measure], signs: Signs) -> Iterator[LegendEntry]:
    figures = "letters" if signs is Signs.FRENCH else "figures"
    yield LegendEntry(
        "Tablature:", f"signs and {figures} of the source, changed only where a letter or a bracket says so."
    )
    yield LegendEntry("Staves:", "every note stands where it sounds; voices and note lengths are the editor’s.")
    heads = [head for m in measures for layer in m.layers for event in layer.events for head in event.heads]
    figures_used = [figure for m in measures for event in m.tab for figure in event.figures]
    if any("bracketed" in figure.editorial.value for figure in figures_used):
        yield LegendEntry("[ ]", "Supplied by the editor.")
    if any("doubtful" in figure.editorial.value for figure in figures_used):
        yield LegendEntry("?", "Read with doubt.")
    if any(m.right is BarStyle.DASHED for m in measures):
        yield LegendEntry("Dashed bar line:", "the editor’s.")
    if any(m.right is BarStyle.DOTTED for m in measures):
        yield LegendEntry("Dotted bar line:", "broken in the source.")
    if any(m.folios for m in measures):
        yield LegendEntry("|", "A new page of the source.")
    if any(head.octave is not None and not head.octave.asked for head in heads):
        yield LegendEntry(
            "(8), 8",
            "The line is meant an octave above this sound, under a bracket all of it; dashes lead there and on.",
        )
    if any(head.octave is not None and head.octave.asked for head in heads):
        yield LegendEntry("(8?)", "Possibly so.")
    if any(event.arpeggio for m in measures for event in m.tab):
        yield LegendEntry("÷", "Spread the chord.")
    yield from small_note_entries(measures)
    if any(event.and_so_on for m in measures for event in m.tab):
        yield LegendEntry("&c.", "The source goes on in the same pattern.")
    if any(m.brackets for m in measures):
        yield LegendEntry("camp.", "A bell-like scale over several courses: one voice, left to ring.")
    if any(event.strum for m in measures for event in m.tab):
        yield LegendEntry("↑ ↓", "Strum in the direction of the arrow.")
    yield from stemless_entries(measures)
