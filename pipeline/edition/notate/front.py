"""What stands around the music: title and instrument at the head, the key to the signs at the foot."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from types import MappingProxyType

from pipeline.edition.diapasons import AskedTuning
from pipeline.edition.notate.signs import HOLD_STAR
from pipeline.edition.notate.voices import compass_line, incipit_of, line_entries, shows_clef, signature_entries
from pipeline.edition.readings import with_signs
from pipeline.model.heading import Heading
from pipeline.model.instrument import Course, Instrument
from pipeline.model.notes import Editorial, TabFigure
from pipeline.model.score import BarStyle, Credits, Footnote, LegendEntry, Measure, SlurKind, WordsKind
from pipeline.model.signs import Signs
from pipeline.model.song import Song
from pipeline.model.staves import Staves

#: No tuning is in question.
NOTHING_ASKED: Mapping[int, AskedTuning] = MappingProxyType({})
_NUMBERS = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight",
    "nine", "ten", "eleven", "twelve", "thirteen", "fourteen",
)  # fmt: skip
_FINGERS = {"p": "thumb", "i": "index", "m": "middle", "a": "ring finger"}
#: What was done to the note values of the source, in words.
_RATIOS = {Fraction(2): "doubled", Fraction(1, 2): "halved", Fraction(1, 4): "quartered"}
_FRENCH_DIAPASONS = ("a", "/a", "//a", "///a", "4", "5", "6", "7")


def credits_of(heading: Heading, song: Song, asked: Mapping[int, AskedTuning]) -> Credits:
    """Title block: instrument and tuning on the left, composer and source on the right. Of ``asked`` courses another
    tuning may be meant."""
    remarks = heading.remarks
    compass = compass_line(song)
    left = [*([compass] if compass else []), *instrument_lines(heading.instrument, heading.signs, asked)]
    if heading.pitch is not None:
        left.append(f"A4 = {heading.pitch:g} Hz")
    right = [heading.composer] if heading.composer else []
    right.extend(witness_lines(heading))
    return Credits(heading.title, remarks[0] if remarks else "", tuple(left), tuple(right))


def instrument_word(heading: Heading) -> str:
    """The instrument's name without its tuning: ``Theorbo``."""
    word = heading.instrument.name.partition(" in ")[0].partition(",")[0]
    return word[:1].upper() + word[1:]


def instrument_lines(
    instrument: Instrument, signs: Signs, asked: Mapping[int, AskedTuning] = NOTHING_ASKED
) -> Iterator[str]:
    """Name, stopped courses, diapasons; behind one the other tuning that may be meant: ``7 F2 (F♯2?)``."""
    count = len(instrument.courses)
    number = _NUMBERS[count] if count < len(_NUMBERS) else str(count)
    name = instrument.name[:1].upper() + instrument.name[1:]
    yield name if "courses" in name or not count else f"{name}, {number} courses"
    if not count:
        yield "Tuning unknown: no pitches are given"
        return
    stopped = instrument.courses[: instrument.over_fingerboard]
    diapasons = instrument.courses[instrument.over_fingerboard :]
    yield f"Courses 1–{len(stopped)}: " + " · ".join(_strings(course) for course in stopped)
    if diapasons:
        shown = (f"{diapason_sign(course.number, signs)} {_tuned(course, asked)}" for course in diapasons)
        yield "Diapasons: " + " · ".join(shown)


def diapason_sign(number: int, signs: Signs) -> str:
    """The sign of an open diapason in the declared system: course 10 is X, or ///a."""
    if signs is Signs.ITALIAN:
        return "X" if number == 10 else str(number)
    place = number - 7
    return _FRENCH_DIAPASONS[place] if 0 <= place < len(_FRENCH_DIAPASONS) else str(number)


def _strings(course: Course) -> str:
    return "+".join(dict.fromkeys(with_signs(string.name) for string in course.strings))


def _tuned(course: Course, asked: Mapping[int, AskedTuning]) -> str:
    question = asked.get(course.number)
    return _strings(course) + (f" ({with_signs(question.pitch.name)}?)" if question else "")


def witness_lines(heading: Heading) -> Iterator[str]:
    """The sources, without shelfmark, date and state; where there are several, each with the siglum by which notes name
    it."""
    several = len(heading.witnesses) > 1
    for witness in heading.witnesses:
        text = witness.described.text
        yield f"{witness.siglum}: {text}" if several else text


def legend_of(
    measures: Sequence[Measure], heading: Heading, song: Song, staves: Staves, fifths: int, notes: Sequence[Footnote]
) -> tuple[LegendEntry, ...]:
    """How to read this page: only the signs that the score uses; who is meant by initials in the notes; then the
    remarks that have no other place."""
    remarks = (LegendEntry("Remark:", remark) for remark in heading.remarks[1:])
    return (
        *_entries(measures, heading, staves),
        *sign_entries(measures, heading),
        *ornament_entries(measures, heading),
        *line_entries(song, {line.name for line in song.lines if shows_clef(line) or incipit_of(line, heading)}),
        *(signature_entries(song, fifths) if staves.pair else ()),
        *_initials(heading, notes),
        *remarks,
    )


def _initials(heading: Heading, notes: Sequence[Footnote]) -> Iterator[LegendEntry]:
    named = [
        f"{initials}: {name}"
        for initials, name in heading.editors
        if name and any(re.search(rf"\b{re.escape(initials)}\b", note.text) for note in notes)
    ]
    if named:
        yield LegendEntry("Initials:", f"{'; '.join(named).rstrip('.')}.")


def ornament_entries(measures: Sequence[Measure], heading: Heading) -> Iterator[LegendEntry]:
    """The ornament signs that a score uses, as the heading declares them."""
    used = {
        ornament.printed
        for measure in measures
        for layer in measure.layers
        for event in layer.events
        for head in event.heads
        for ornament in head.ornaments
    } | {ornament.printed for figure in figures_of(measures) for ornament in figure.ornaments}
    used |= {
        ornament.printed
        for measure in measures
        for staff in measure.sung
        for note in staff.events
        for ornament in note.ornaments
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


def _editorials(measure: Measure) -> Iterator[Editorial]:
    """How signs of the tablature, heads, sung notes, their words and chord letters are marked."""
    for event in measure.tab:
        if event.sign is not None:
            yield event.sign.editorial
        for figure in event.figures:
            yield figure.editorial
            yield from (ornament.editorial for ornament in figure.ornaments)
    for layer in measure.layers:
        yield from (head.editorial for chord in layer.events for head in chord.heads)
    for staff in measure.sung:
        for note in staff.events:
            yield note.editorial
            yield from (ornament.editorial for ornament in note.ornaments)
            yield from (word.editorial for word in note.syllables)
    yield from (sign.editorial for sign in measure.chord_signs)


def sign_entries(measures: Sequence[Measure], heading: Heading) -> Iterator[LegendEntry]:
    """Lines, dots and fingers of the tablature, where there are any."""
    figures = list(figures_of(measures))
    if any(m.holds for m in measures):
        yield LegendEntry("Line after a figure:", "the string sounds on.")
    if any(figure.dots for figure in figures):
        yield LegendEntry("Dots under a figure:", "fingers of the right hand, as in the source.")
    if any(figure.right_finger for figure in figures):
        letters = ", ".join(f"{letter} {_FINGERS[letter]}" for letter in "pima" if _used(figures, letter))
        yield LegendEntry("Right hand:", f"{letters}.")
    if any(figure.left_finger for figure in figures):
        yield LegendEntry("Small figures:", "fingers of the left hand.")
    if any(event.barre for m in measures for event in m.tab) or any(figure.barre for figure in figures):
        yield LegendEntry("Stroke before a chord:", "one finger over several courses.")


def _used(figures: Sequence[TabFigure], letter: str) -> bool:
    return any(figure.right_finger == letter for figure in figures)


def figures_of(measures: Sequence[Measure]) -> Iterator[TabFigure]:
    """Every figure of the tablature."""
    return (figure for measure in measures for event in measure.tab for figure in event.figures)


def stemless_entries(measures: Sequence[Measure]) -> Iterator[LegendEntry]:
    """What notes without stems mean, where there are any."""
    if any(event.stemless for m in measures for layer in m.layers for event in layer.events):
        yield LegendEntry("Notes without stems:", "the source gives no values; play freely.")


def _staves_printed(heading: Heading, staves: Staves) -> Iterator[LegendEntry]:
    figures = "letters" if heading.signs is Signs.FRENCH else "figures"
    if staves.tablature:
        yield LegendEntry(
            "Tablature:", f"signs and {figures} of the source, changed only where a ringed number or a bracket says so."
        )
    if staves.pair:
        yield LegendEntry(
            "Staves:",
            f"every note stands where it sounds; voices and note lengths are the editor’s.{values_told(heading)}",
        )


def values_told(heading: Heading) -> str:
    """That the staves have other note values than the source, behind another sentence; nothing where they have its."""
    ratio = heading.values
    return "" if ratio == 1 else f" The values of the source are {_RATIOS.get(ratio, f'multiplied by {ratio}')}."


def _entries(measures: Sequence[Measure], heading: Heading, staves: Staves) -> Iterator[LegendEntry]:
    yield from _staves_printed(heading, staves)
    heads = [head for m in measures for layer in m.layers for event in layer.events for head in event.heads]
    marked = {how for measure in measures for how in _editorials(measure)}
    if marked & {Editorial.BRACKETED, Editorial.BRACKETED_DOUBTFUL} or any(
        event.tuplet is not None and event.tuplet.added for m in measures for event in m.tab
    ):
        yield LegendEntry("[ ]", "Supplied by the editor.")
    figures_used = list(figures_of(measures))
    if any(ornament.printed == HOLD_STAR for figure in figures_used for ornament in figure.ornaments):
        yield LegendEntry(HOLD_STAR, "Hold the finger down.")
    if marked & {Editorial.DOUBTFUL, Editorial.BRACKETED_DOUBTFUL}:
        yield LegendEntry("?", "Read with doubt.")
    if any(slur.kind is SlurKind.ADDED for m in measures for slur in m.slurs):
        yield LegendEntry("Dashed slur:", "the editor’s.")
    if any(m.right is BarStyle.DASHED for m in measures):
        yield LegendEntry("Dashed bar line:", "the editor’s.")
    if any(m.right is BarStyle.DOTTED for m in measures):
        yield LegendEntry("Dotted bar line:", "broken in the source.")
    folio_words = any(words.kind is WordsKind.FOLIO for m in measures for words in m.words)
    if folio_words or any(folio for m in measures for folio in m.folios):
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
    if any(event.spread for m in measures for event in m.tab):
        yield LegendEntry("Strokes between the figures:", "spread the chord.")
    yield from small_note_entries(measures)
    if any(event.and_so_on for m in measures for event in m.tab):
        yield LegendEntry("&c.", "The source goes on in the same pattern.")
    if any(m.brackets for m in measures):
        yield LegendEntry("camp.", "A bell-like scale over several courses: one voice, left to ring.")
    if any(event.strum for m in measures for event in m.tab):
        yield LegendEntry("↑ ↓", "Strum over the strings in the direction of the arrow.")
    if any(figure.order for figure in figures_of(measures)):
        yield LegendEntry("Figures set aslant:", "struck one after another, from the left.")
    yield from stemless_entries(measures)
