"""What is written, what sounds, what is read into it, and every finding on the way: the flow without its writers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from pipeline.edition.lead import lead, questions
from pipeline.edition.perform import overplayed
from pipeline.findings.codes.limits import FINDINGS_CUT_OFF, TOO_MUCH
from pipeline.model.diagnostics import Diagnostic, Outcome, Severity
from pipeline.model.facsimile import FolioImage, ImageFile
from pipeline.model.heading import Heading
from pipeline.model.limits import MOST_FINDINGS, MOST_WORDS
from pipeline.model.song import PartBook, Song
from pipeline.model.sounding import SoundingPiece
from pipeline.model.text import SourceText
from pipeline.model.voiced import LedPiece
from pipeline.model.voicefile import VoiceFile
from pipeline.source.checks import run_checks
from pipeline.source.declare import declare, files_named
from pipeline.source.facsimile import folio_images, images_named
from pipeline.source.parse import parse
from pipeline.source.resolve import resolve
from pipeline.source.sing import sing

__all__ = [
    "check_piece",
    "files_named",
    "images_named",
    "images_of",
    "in_order",
    "reading_of",
    "settled",
    "song_of",
    "sounding_piece",
]

#: Notation files by the path that the heading names them with.
Files = Mapping[str, VoiceFile]
NO_FILES: Files = MappingProxyType({})
#: Images of the source by the path that the heading names them with.
Images = Mapping[str, ImageFile]
NO_IMAGES: Images = MappingProxyType({})


def sounding_piece(source: SourceText, inherited: tuple[SourceText, ...] = ()) -> Outcome[SoundingPiece]:
    """The facts of a piece; ``inherited`` are its folders' headings, outermost first."""
    tablature = parse(source, inherited)
    heading = declare(tablature.value)
    sounding = resolve(tablature.value, heading.value)
    found = (*tablature.diagnostics, *heading.diagnostics, *sounding.diagnostics)
    found = (*found, *run_checks(sounding.value), *overplayed(sounding.value))
    return Outcome(sounding.value, in_order(found))


def song_of(piece: SoundingPiece, files: Files = NO_FILES) -> Outcome[Song]:
    """What is sung and played beside the tablature. ``files`` are the notation files that the heading names
    (``files_named``), by the path typed there; one that is not among them counts as missing."""
    parts: dict[str, PartBook] = {}
    found: list[Diagnostic] = []
    for layer in piece.heading.layers:
        if layer.file:
            # Imported late: only songs that name a file need to read XML.
            from pipeline.source.partbook import read_part  # noqa: PLC0415

            file = files.get(layer.file) or VoiceFile(layer.file, refused="there is no such file")
            place = dict(piece.heading.places)[f"layer {layer.name}"]
            part = read_part(file, layer, place)
            found.extend(part.diagnostics)
            if part.value is not None:
                parts[layer.name] = part.value
    song = sing(piece, parts)
    return Outcome(song.value, in_order((*found, *song.diagnostics)))


def images_of(piece: SoundingPiece, images: Images = NO_IMAGES) -> Outcome[tuple[FolioImage, ...]]:
    """The images of the source that can be shown beside the piece. ``images`` are the files that the heading names
    (``images_named``), by the path typed there; one that is not among them counts as missing."""
    return folio_images(piece, images)


def check_piece(
    source: SourceText,
    inherited: tuple[SourceText, ...] = (),
    files: Files = NO_FILES,
    images: Images = NO_IMAGES,
) -> tuple[Diagnostic, ...]:
    """Every finding on a piece, in order of place; nothing is written."""
    sounding = sounding_piece(source, inherited)
    led = reading_of(sounding.value)
    song, shown = song_of(sounding.value, files), images_of(sounding.value, images)
    found = (*sounding.diagnostics, *led.diagnostics, *song.diagnostics, *shown.diagnostics)
    return settled(found, sounding.value.heading, (*inherited, source))


def reading_of(piece: SoundingPiece) -> Outcome[LedPiece]:
    """Voices, lengths and octaves as read, and what the reading asks the editor."""
    led = lead(piece)
    return Outcome(led, in_order(questions(led)))


def in_order(found: tuple[Diagnostic, ...]) -> tuple[Diagnostic, ...]:
    """Findings by their place."""
    return tuple(sorted(found, key=lambda finding: (finding.span, finding.code.slug, finding.message)))


def settled(found: tuple[Diagnostic, ...], heading: Heading, texts: tuple[SourceText, ...]) -> tuple[Diagnostic, ...]:
    """The findings on a piece as they are told: in order, no more than are listed, as grave as its headings declare
    them. ``texts`` as of ``weighed``."""
    return weighed(listed(in_order(found)), heading, texts)


def listed(found: tuple[Diagnostic, ...]) -> tuple[Diagnostic, ...]:
    """Findings in order of place, no more than are listed, and no message longer than anybody reads. The last one
    then says that there are more: an error, for there may be errors among them."""
    short = tuple(_shortened(one) if max(len(one.message), len(one.hint)) > MOST_WORDS else one for one in found)
    known = tuple(one for one in short if one.code is not FINDINGS_CUT_OFF)
    kept, left = known[:MOST_FINDINGS], known[MOST_FINDINGS:]
    if not left and len(known) == len(short):
        return short
    grave = tuple(one for one in left if one.code is TOO_MUCH)
    message = f"There are more than {MOST_FINDINGS:,} findings on this piece; the others are not listed."
    return (*kept, *grave, Diagnostic(FINDINGS_CUT_OFF, short[-1].span, message, "Mend the first ones, and run again."))


def _shortened(one: Diagnostic) -> Diagnostic:
    return replace(one, message=_ends(one.message), hint=_ends(one.hint))


def _ends(text: str) -> str:
    """Long words stand in messages as they were typed; of a very long text its two ends are kept."""
    half = MOST_WORDS // 2
    return text if len(text) <= MOST_WORDS else f"{text[:half]} … {text[-half:]}"


def weighed(found: tuple[Diagnostic, ...], heading: Heading, texts: tuple[SourceText, ...]) -> tuple[Diagnostic, ...]:
    """The findings as grave as the headings declare them. ``texts`` are the folders' headings, outermost first, and the
    piece: a line holds for the findings in its own text and in those after it, a later line before an earlier."""
    if not heading.severities:
        return found
    order = {text.name: number for number, text in enumerate(texts)}
    innermost = len(texts)
    lines: dict[str, list[tuple[int, Severity]]] = {}
    for line in heading.severities:
        at = order.get(line.span.file, innermost)
        lines.setdefault(line.finding, []).append((at, Severity(line.severity)))
    return tuple(_weighed(one, lines.get(one.code.slug, []), order.get(one.span.file, innermost)) for one in found)


def _weighed(one: Diagnostic, lines: list[tuple[int, Severity]], place: int) -> Diagnostic:
    declared = [severity for at, severity in lines if at <= place]
    if not declared or declared[-1] is one.code.severity:
        return one
    return replace(one, declared=declared[-1])
