"""The bass part: one staff with its figures, for whoever plays the bass with the singer and the theorbo.

A bass that is typed stands as the source has it. Without one it is the bass as read: the notes of the bass line, in
the octave that the line means. Figures that are typed stand alone; where the source has none they are worked out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pipeline.edition.figure import figured, figured_under
from pipeline.edition.figure.bass import intended_bass
from pipeline.edition.notate import notate_copy
from pipeline.edition.notate.front import instrument_word
from pipeline.edition.reduce import reduce
from pipeline.model.copy import Copy, Fullness
from pipeline.model.notes import Kind, StaffEvent
from pipeline.model.record import replace
from pipeline.model.score import Credits, LegendEntry, Measure, Score, SungEvent, SungStaff, VocalStaff
from pipeline.model.song import Song, SungLine
from pipeline.model.voiced import VoicedPiece

#: The staff of a bass that is read, named as a typed one would be.
READ = "b"


def bass_of(voiced: VoicedPiece, song: Song, moved: str = "") -> Score | None:
    """The bass part of a piece, which is already in the key that it is wanted in; None where there is no bass at all.
    ``moved`` says in words how it was transposed. Linear time."""
    typed = tuple(line for line in song.lines if line.bass and any(note.pitch is not None for note in line.notes))
    if not typed and not intended_bass(voiced):
        return None
    score = _typed(voiced, typed) if typed else _read(voiced)
    heading = voiced.sounding.heading
    left = ["Bass part", *([moved] if moved else [])]
    if heading.pitch is not None:
        left.append(f"A4 = {heading.pitch:g} Hz")
    return replace(
        score,
        credits=Credits(score.credits.title, "", tuple(left), score.credits.right),
        legend=tuple(_method(voiced, typed, score.measures)),
        staves=False,
        accompaniment_title="",
        verses=(),
    )


def has_typed_figures(line: SungLine) -> bool:
    """Whether the source itself figures a typed bass."""
    return any(note.figures for note in line.notes)


def _typed(voiced: VoicedPiece, lines: Sequence[SungLine]) -> Score:
    whole = tuple(line if has_typed_figures(line) else _with_figures(voiced, line) for line in lines)
    score = notate_copy(_bass_alone(voiced), Song(whole), Copy(Fullness.SKETCH))
    titles = len(lines) > 1  # one staff alone needs no name before it: the page says what it is
    measures = tuple(replace(measure, layers=(), arpeggios=(), chord_signs=()) for measure in score.measures)
    vocal = tuple(staff if titles else replace(staff, title="") for staff in score.vocal)
    return replace(score, measures=measures, vocal=vocal)


def _with_figures(voiced: VoicedPiece, line: SungLine) -> SungLine:
    notes = zip(line.notes, figured_under(voiced, line), strict=True)
    return replace(line, notes=tuple(replace(note, figures=figures) for note, figures in notes))


def _read(voiced: VoicedPiece) -> Score:
    figures = {note.led.id: columns for note, columns in figured(voiced) if columns}
    score = notate_copy(_bass_alone(voiced), Song(), Copy(Fullness.SKETCH), figures)
    measures = tuple(map(_on_one_staff, score.measures))
    fifths = next((measure.fifths for measure in measures if measure.fifths is not None), voiced.fifths)
    staff = VocalStaff(READ, "", "F4", False, fifths, "", 0, bass=True, follows=True)
    return replace(score, measures=measures, vocal=(staff,))


def _bass_alone(voiced: VoicedPiece) -> VoicedPiece:
    """The piece with nothing but its bass line, as meant."""
    return reduce(replace(voiced, notes=intended_bass(voiced)), Fullness.SKETCH)


def _on_one_staff(measure: Measure) -> Measure:
    """A measure whose bass line, of all that two staves hold, stands on a staff of its own."""
    layers = [layer for layer in measure.layers if any(event.heads for event in layer.events)] or measure.layers[-1:]
    events = tuple(_event(event) for layer in layers[-1:] for event in layer.events)
    figures = tuple(replace(column, staff=READ) for column in measure.figures)
    return replace(measure, layers=(), arpeggios=(), sung=(SungStaff(READ, events),), figures=figures)


def _event(event: StaffEvent) -> SungEvent:
    """A note, rest or space of the line; a note goes by the id of its head."""
    made = SungEvent(
        event.id,
        event.kind,
        event.onset,
        event.ticks,
        event.value,
        beams=event.beams,
        tuplet=event.tuplet,
        whole_bar=event.whole_bar,
        fermata=event.fermata,
    )
    if event.kind is not Kind.NOTE:
        return made
    head = event.heads[0]
    return replace(
        made,
        id=head.id,
        pitch=head.pitch,
        accidental=head.accidental,
        courtesy=head.courtesy,
        tie_from=head.tie_from,
        tie_to=head.tie_to,
        editorial=head.editorial,
    )


def _method(voiced: VoicedPiece, typed: Sequence[SungLine], measures: Sequence[Measure]) -> Iterator[LegendEntry]:
    """What is the source's and what is read, for people who do not see the tablature."""
    instrument = instrument_word(voiced.sounding.heading).lower()
    worked_out = any(column.editorial for measure in measures for column in measure.figures)
    if typed:
        yield LegendEntry("Method", "The bass is that of the source.")
        if worked_out:
            yield LegendEntry("", f"It has no figures there: these are worked out from what the {instrument} strikes.")
    else:
        yield LegendEntry(
            "Method",
            f"The bass is read from the tablature for {instrument}, each note in the octave that its line is meant "
            "in; lengths are a reading.",
        )
        if worked_out:
            yield LegendEntry("", f"Figures are worked out from what the {instrument} strikes above it.")
