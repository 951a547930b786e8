"""The MusicXML writer against music21, in one run.

    python -m tests.benchmarks.musicxml_speed

music21 builds the notes that our writer writes (the figures of the tablature and the heads on the two staves: pitch,
length, voice, ties, string and fret) and exports them; our writer writes those and everything else besides. The
times are the best of several runs, the serialisation included.
"""

from __future__ import annotations

from collections.abc import Iterable

import music21
from music21.musicxml.m21ToXml import GeneralObjectExporter
from rich.console import Console
from rich.table import Table

from pipeline.edition.lead import lead
from pipeline.edition.notate import notate
from pipeline.edition.spell import spell
from pipeline.model.notes import Kind, StaffEvent
from pipeline.model.pitch import SpelledPitch
from pipeline.model.score import Measure, Score
from pipeline.model.text import SourceText
from pipeline.model.time import WHOLE, Ticks
from pipeline.source.declare import declare
from pipeline.source.parse import parse
from pipeline.source.resolve import resolve
from pipeline.writers.musicxml import write_musicxml
from tests.benchmarks.build_speed import best, piece_of

SIZES = (50, 500, 5000)
#: music21 is timed up to here; its time per event does not fall with length.
LARGEST_FOR_MUSIC21 = 500


def main() -> None:
    """Print the table."""
    table = Table(title="MusicXML: our writer against music21, the same notes")
    for column in ("events", "notes", "ours ms", "ours µs/event", "music21 build ms", "export ms", "ratio"):
        table.add_column(column, justify="right")
    for size in SIZES:
        score = score_of(size)
        ours, _ = best(lambda score=score: write_musicxml(score), 7)
        row = [f"{size:,}", f"{notes_in(score):,}", f"{ours * 1e3:.1f}", f"{ours / size * 1e6:.1f}"]
        if size <= LARGEST_FOR_MUSIC21:
            build, made = best(lambda score=score: build_in_music21(score), 2)
            export, _ = best(lambda made=made: GeneralObjectExporter(made).parse(), 2)
            row += [f"{build * 1e3:.0f}", f"{export * 1e3:.0f}", f"{(build + export) / ours:.0f}"]
        table.add_row(*row)
    Console().print(table)


def score_of(size: int) -> Score:
    """The notated score of an invented piece of so many events."""
    return score_of_text(piece_of(size))


def score_of_text(source: SourceText) -> Score:
    """The notated score of a piece."""
    tablature = parse(source).value
    return notate(spell(lead(resolve(tablature, declare(tablature).value).value)))


def notes_in(score: Score) -> int:
    """Figures and heads."""
    figures = sum(len(event.figures) for measure in score.measures for event in measure.tab)
    return figures + sum(
        len(event.heads) for measure in score.measures for layer in measure.layers for event in layer.events
    )


# --- the same notes in music21 -----------------------------------------------------------------------------


def build_in_music21(score: Score) -> music21.stream.Score:
    """Three staves of measures and voices."""
    made = music21.stream.Score()
    staves = [music21.stream.Part(), music21.stream.PartStaff(), music21.stream.PartStaff()]
    for measure in score.measures:
        for part, holder in zip(staves, _measures(measure), strict=True):
            part.append(holder)
    for part in staves:
        made.insert(0, part)
    made.insert(0, music21.layout.StaffGroup(staves[1:], symbol="brace"))
    return made


def _measures(measure: Measure) -> list[music21.stream.Measure]:
    holders = [music21.stream.Measure(number=measure.number) for _ in range(3)]
    if measure.metre is not None and measure.metre.beats:
        for holder in holders:
            holder.insert(0, music21.meter.TimeSignature(f"{measure.metre.beats}/{measure.metre.unit}"))
    for event in measure.tab:
        sounds = [(figure.pitch, figure.course, figure.fret, "") for figure in event.figures if figure.pitch]
        if sounds:
            holders[0].insert(_quarters(event.onset - measure.onset), _element(sounds, event.ticks))
    for layer in measure.layers:
        voices = {staff: music21.stream.Voice(id=str(layer.voice)) for staff in (1, 2)}
        for staff, voice in voices.items():
            for event in layer.events:
                element = _staff_element(event, staff)
                if element is not None:
                    voice.insert(_quarters(event.onset - measure.onset), element)
            if voice:
                holders[staff].insert(0, voice)
    return holders


def _staff_element(event: StaffEvent, staff: int) -> music21.note.GeneralNote | None:
    if event.kind is Kind.REST and event.staff == staff:
        return music21.note.Rest(quarterLength=_quarters(event.ticks))
    heads = [head for head in event.heads if head.staff == staff]
    if not heads:
        return None
    return _element([(h.pitch, h.course, h.fret, _tie(h.tie_to, h.tie_from)) for h in heads], event.ticks)


def _tie(comes: bool, goes: bool) -> str:
    if comes and goes:
        return "continue"
    return "stop" if comes else "start" if goes else ""


def _element(sounds: Iterable[tuple[SpelledPitch, int, int, str]], ticks: Ticks) -> music21.note.GeneralNote:
    made = []
    for pitch, course, fret, tie in sounds:
        alter = "#" * pitch.alter + "-" * -pitch.alter
        note = music21.note.Note(f"{pitch.step}{alter}{pitch.octave}", quarterLength=_quarters(ticks))
        marks = music21.articulations
        note.articulations = [marks.StringIndication(course), marks.FretIndication(fret)]
        if tie:
            note.tie = music21.tie.Tie(tie)
        made.append(note)
    return made[0] if len(made) == 1 else music21.chord.Chord(made)


def _quarters(ticks: Ticks) -> float:
    return ticks / (WHOLE // 4)


if __name__ == "__main__":
    main()
