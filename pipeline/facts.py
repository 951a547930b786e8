"""What is written, what sounds, what is read into it, and every finding on the way: the flow without its writers."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from pipeline.checks import run_checks
from pipeline.diagnostics import Diagnostic, Outcome
from pipeline.model.song import PartBook, Song, VoiceFile
from pipeline.model.sounding import SoundingPiece
from pipeline.model.voiced import LedPiece
from pipeline.source import SourceText
from pipeline.stages.declare import declare, files_named
from pipeline.stages.lead import lead, questions
from pipeline.stages.parse import parse
from pipeline.stages.resolve import resolve
from pipeline.stages.sing import sing

__all__ = ["check_piece", "files_named", "in_order", "reading_of", "song_of", "sounding_piece"]

#: Notation files by the path that the heading names them with.
Files = Mapping[str, VoiceFile]
NO_FILES: Files = MappingProxyType({})


def sounding_piece(source: SourceText, inherited: tuple[SourceText, ...] = ()) -> Outcome[SoundingPiece]:
    """The facts of a piece; ``inherited`` are its folders' headings, outermost first."""
    tablature = parse(source, inherited)
    heading = declare(tablature.value)
    sounding = resolve(tablature.value, heading.value)
    found = (*tablature.diagnostics, *heading.diagnostics, *sounding.diagnostics)
    return Outcome(sounding.value, in_order((*found, *run_checks(sounding.value))))


def song_of(piece: SoundingPiece, files: Files = NO_FILES) -> Outcome[Song]:
    """What is sung and played beside the tablature. ``files`` are the notation files that the heading names
    (``files_named``), by the path typed there; one that is not among them counts as missing."""
    parts: dict[str, PartBook] = {}
    found: list[Diagnostic] = []
    for layer in piece.heading.layers:
        if layer.file:
            # Imported late: only songs that name a file need to read XML.
            from pipeline.stages.partbook import read_part  # noqa: PLC0415

            file = files.get(layer.file) or VoiceFile(layer.file, refused="there is no such file")
            place = dict(piece.heading.places)[f"layer {layer.name}"]
            part = read_part(file, layer, place)
            found.extend(part.diagnostics)
            if part.value is not None:
                parts[layer.name] = part.value
    song = sing(piece, parts)
    return Outcome(song.value, in_order((*found, *song.diagnostics)))


def check_piece(
    source: SourceText, inherited: tuple[SourceText, ...] = (), files: Files = NO_FILES
) -> tuple[Diagnostic, ...]:
    """Every finding on a piece, in order of place; nothing is written."""
    sounding = sounding_piece(source, inherited)
    led = reading_of(sounding.value)
    return in_order((*sounding.diagnostics, *led.diagnostics, *song_of(sounding.value, files).diagnostics))


def reading_of(piece: SoundingPiece) -> Outcome[LedPiece]:
    """Voices, lengths and octaves as read, and what the reading asks the editor."""
    led = lead(piece)
    return Outcome(led, in_order(questions(led)))


def in_order(found: tuple[Diagnostic, ...]) -> tuple[Diagnostic, ...]:
    """Findings by their place."""
    return tuple(sorted(found, key=lambda finding: (finding.span, finding.code.slug, finding.message)))
