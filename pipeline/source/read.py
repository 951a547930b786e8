"""One read: what a piece's text, its folders' headings, its notation files and its images say, and every finding on
the way. What is read *into* it begins in ``edition``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from pipeline.findings.settling import in_order, settled
from pipeline.model.diagnostics import Diagnostic, Outcome
from pipeline.model.facsimile import FolioImage, ImageFile
from pipeline.model.song import PartBook, Song
from pipeline.model.sounding import SoundingPiece
from pipeline.model.text import SourceText
from pipeline.model.voicefile import VoiceFile
from pipeline.source.checks import run_checks
from pipeline.source.declare import declare
from pipeline.source.facsimile import folio_images
from pipeline.source.parse import KnownBars, parse
from pipeline.source.passages import overplayed
from pipeline.source.resolve import KnownEvents, resolve
from pipeline.source.sing import sing
from pipeline.source.songchecks import run_song_checks

#: Notation files by the path that the heading names them with.
Files = Mapping[str, VoiceFile]
NO_FILES: Files = MappingProxyType({})
#: Images of the source by the path that the heading names them with.
Images = Mapping[str, ImageFile]
NO_IMAGES: Images = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Known:
    """What is kept of a piece from one reading of its signs to the next, while it is typed."""

    bars: KnownBars = field(default_factory=KnownBars)
    events: KnownEvents = field(default_factory=KnownEvents)


@dataclass(frozen=True, slots=True)
class Read:
    """A piece as read. ``texts`` are its folders' headings, outermost first, and then its own; ``images`` those of the
    source that can be shown beside it; ``diagnostics`` all that was found, in order of place, as grave as each kind is
    by itself."""

    texts: tuple[SourceText, ...]
    sounding: SoundingPiece
    song: Song
    images: tuple[FolioImage, ...]
    diagnostics: tuple[Diagnostic, ...]

    def settled(self, *more: Diagnostic) -> tuple[Diagnostic, ...]:
        """These findings, and those of later stages, as they are reported."""
        return settled((*self.diagnostics, *more), self.sounding.heading, self.texts)


def read_piece(
    source: SourceText,
    inherited: tuple[SourceText, ...] = (),
    files: Files = NO_FILES,
    images: Images = NO_IMAGES,
) -> Read:
    """Read a piece. ``inherited`` are its folders' headings, outermost first. ``files`` are the notation files that
    they and the piece name (``declare.files_named``), ``images`` those of the source (``facsimile.images_named``), by
    the path typed there; one that is not among them counts as missing. Never raises: faults become findings."""
    sounding = sounding_piece(source, inherited)
    song = song_of(sounding.value, files)
    shown = folio_images(sounding.value, images)
    found = in_order((*sounding.diagnostics, *song.diagnostics, *shown.diagnostics))
    return Read((*inherited, source), sounding.value, song.value, shown.value, found)


def sounding_piece(
    source: SourceText, inherited: tuple[SourceText, ...] = (), known: Known | None = None
) -> Outcome[SoundingPiece]:
    """The tablature of a piece alone, without what is sung to it; ``inherited`` as for :func:`read_piece`. ``known`` is
    what was read of the piece before, for one that is read over and over."""
    tablature = parse(source, inherited, known.bars if known else None)
    heading = declare(tablature.value)
    sounding = resolve(tablature.value, heading.value, known.events if known else None)
    found = (*tablature.diagnostics, *heading.diagnostics, *sounding.diagnostics)
    found = (*found, *run_checks(sounding.value), *overplayed(sounding.value))
    return Outcome(sounding.value, in_order(found))


def song_of(piece: SoundingPiece, files: Files = NO_FILES) -> Outcome[Song]:
    """What is sung and played beside the tablature; ``files`` as for :func:`read_piece`."""
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
    return Outcome(song.value, in_order((*found, *song.diagnostics, *run_song_checks(piece, song.value))))
