"""What stands around the music: title and instrument at the head, the key to the signs at the foot."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pipeline.edition.notate.voices import compass_line, incipit_of, line_entries, shows_clef, signature_entries
from pipeline.edition.readings import with_signs
from pipeline.model.heading import Heading
from pipeline.model.instrument import Course, Instrument
from pipeline.model.notes import Editorial
from pipeline.model.score import BarStyle, Credits, LegendEntry, Measure, WordsKind
from pipeline.model.signs import Signs
from pipeline.model.song import Song
from pipeline.model.staves import Staves

_NUMBERS = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight",
    "nine", "ten", "eleven", "twelve", "thirteen", "fourteen",
)  # fmt: skip
_FRENCH_DIAPASONS = ("a", "/a", "//a", "///a", "4", "5", "6", "7")


def credits_of(heading: Heading, song: Song) -> Credits:
    """Title block: instrument and tuning on the left, composer and source on the right."""
    remarks = heading.remarks
    compass = compass_line(song)
    left = [*([compass] if compass else []), *instrument_lines(heading.instrument, heading.signs)]
    if heading.pitch is not None:
        left.append(f"a′ = {heading.pitch:g} Hz")
    right = [heading.composer] if heading.composer else []
    right.extend(witness.text for witness in heading.witnesses)
    return Credits(heading.title, remarks[0] if remarks else "", tuple(left), tuple(right))


def instrument_word(heading: Heading) -> str:
    """The instrument's name without its tuning: ``Theorbo``."""
    word = heading.instrument.name.partition(" in ")[0].partition(",")[0]
    return word[:1].upper() + word[1:]


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


def legend_of(
    measures: Sequence[Measure], heading: Heading, song: Song, staves: Staves, fifths: int
) -> tuple[LegendEntry, ...]:
    """How to read this page: only the signs that the score uses; then the remarks that have no other place."""
    remarks = (LegendEntry("Remark:", remark) for remark in heading.remarks[1:])
    return (
        *_entries(measures, heading.signs, staves),
        *ornament_entries(measures, heading),
        *line_entries(song, {line.name for line in song.lines if shows_clef(line) or incipit_of(line, heading)}),
        *(signature_entries(song, fifths) if staves.pair else ()),
        *remarks,
    )


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
    used |= {
        ornament.printed
        for measure in measures
        for sign in measure.tab
        for figure in sign.figures
        for ornament in figure.ornaments
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


def _entries(measures: Sequence[Measure], signs: Signs, staves: Staves) -> Iterator[LegendEntry]:
    figures = "letters" if signs is Signs.FRENCH else "figures"
    if staves.tablature:
        yield LegendEntry(
            "Tablature:", f"signs and {figures} of the source, changed only where a letter or a bracket says so."
        )
    if staves.pair:
        yield LegendEntry("Staves:", "every note stands where it sounds; voices and note lengths are the editor’s.")
    heads = [head for m in measures for layer in m.layers for event in layer.events for head in event.heads]
    figures_used = [figure for m in measures for event in m.tab for figure in event.figures]
    marked = {figure.editorial for figure in figures_used} | {head.editorial for head in heads}
    marked.update(_of_the_song(measures))
    if any("bracketed" in how.value for how in marked):
        yield LegendEntry("[ ]", "Supplied by the editor.")
    if any("doubtful" in how.value for how in marked):
        yield LegendEntry("?", "Read with doubt.")
    if any(m.right is BarStyle.DASHED for m in measures):
        yield LegendEntry("Dashed bar line:", "the editor’s.")
    if any(m.right is BarStyle.DOTTED for m in measures):
        yield LegendEntry("Dotted bar line:", "broken in the source.")
    folio_words = any(words.kind is WordsKind.FOLIO for m in measures for words in m.words)
    if folio_words or any(folio for m in measures for folio in m.folios):
        yield LegendEntry("|", "A new page of the source.")
    if any(head.octave is not None and not head.octave.asked for head in heads):
        yield LegendEntry("(8), 8", "The line is meant an octave above this sound; dashes lead to it and on from it.")
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
    if any(event.stemless for m in measures for layer in m.layers for event in layer.events):
        yield LegendEntry("Notes without stems:", "the source gives no values; play freely.")


def _of_the_song(measures: Sequence[Measure]) -> Iterator[Editorial]:
    """How sung notes, their words and chord letters are marked."""
    for measure in measures:
        for staff in measure.sung:
            for note in staff.events:
                yield note.editorial
                yield from (word.editorial for word in note.syllables)
        yield from (sign.editorial for sign in measure.chord_signs)
