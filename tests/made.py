"""Pieces for tests: from typed lines to each stage's record."""

from __future__ import annotations

from pipeline.edition.lead import lead
from pipeline.edition.notate import notate
from pipeline.edition.spell import spell
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.score import Score
from pipeline.model.sounding import SoundingPiece
from pipeline.model.text import SourceText
from pipeline.model.voiced import VoicedPiece
from pipeline.source.declare import declare
from pipeline.source.parse import parse
from pipeline.source.resolve import resolve

HEADING = "longneck 1\ntitle Trial\ninstrument theorbo in A\n"


def text(music: str, heading: str = HEADING) -> SourceText:
    """A piece of these music lines under a heading."""
    return SourceText.of("trial.intav", f"{heading}\n{music}\n")


def resolved(music: str, heading: str = HEADING) -> tuple[SoundingPiece, tuple[Diagnostic, ...]]:
    """The sounding piece, and what parsing, declaring and resolving found."""
    tablature = parse(text(music, heading))
    declared = declare(tablature.value)
    sounding = resolve(tablature.value, declared.value)
    return sounding.value, (*tablature.diagnostics, *declared.diagnostics, *sounding.diagnostics)


def sounding(music: str, heading: str = HEADING) -> SoundingPiece:
    """The sounding piece of music that must be without fault."""
    piece, found = resolved(music, heading)
    assert not found, [f"{finding.span}: {finding.message}" for finding in found]
    return piece


def voiced(music: str, heading: str = HEADING) -> VoicedPiece:
    """The voiced piece."""
    return spell(lead(sounding(music, heading)))


def score(music: str, heading: str = HEADING) -> Score:
    """The notated score."""
    return notate(voiced(music, heading))


def pitches(piece: VoicedPiece) -> list[list[str]]:
    """Spelled sounding pitches, event by event, in the order in which they are typed."""
    names = {note.led.id: note.spelling.name for note in piece.notes}
    return [
        [names[stop.id] for stop in event.stops if not stop.held] for bar in piece.sounding.bars for event in bar.events
    ]
