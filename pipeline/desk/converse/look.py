"""A look at a piece while it is typed: its signs read, and all that can be found without reading its voices."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from pipeline.findings.settling import in_order, settled
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.song import Song
from pipeline.model.sounding import SoundingPiece
from pipeline.model.text import SourceText
from pipeline.source.read import Known, song_of, sounding_piece


@dataclass(frozen=True, slots=True)
class Look:
    """A piece as typed. ``found`` are findings that a whole check has too; those of the reading, of notation files and
    of images come later. ``song`` is empty while its lines stand in files."""

    source: SourceText
    inherited: tuple[SourceText, ...]
    piece: SoundingPiece
    song: Song
    found: tuple[Diagnostic, ...]

    @property
    def name(self) -> str:
        return self.source.name


def look_at(
    source: SourceText,
    inherited: tuple[SourceText, ...] = (),
    before: tuple[Diagnostic, ...] = (),
    known: Known | None = None,
) -> Look:
    """Read the signs of a piece. ``inherited`` are its folders' headings, outermost first; ``before`` is what was
    found while its bytes became text; ``known`` what was read of the piece before. Never raises."""
    sounding = sounding_piece(source, inherited, known)
    piece = sounding.value
    found = (*before, *sounding.diagnostics)
    song = Song()
    if not any(layer.file for layer in piece.heading.layers):
        sung = song_of(piece)
        song = sung.value
        found = (*found, *sung.diagnostics)
    return Look(source, inherited, piece, song, settled(found, piece.heading, (*inherited, source)))


def heading_findings(
    source: SourceText, above: tuple[SourceText, ...] = (), before: tuple[Diagnostic, ...] = ()
) -> tuple[Diagnostic, ...]:
    """What is wrong with a folder's heading by itself: the findings in it on a piece that says nothing of its own."""
    empty = SourceText.of("", "longneck 1\n")
    found = look_at(empty, (*above, source), before).found
    return tuple(one for one in found if one.span.file == source.name)


def later(whole: tuple[Diagnostic, ...], soon: tuple[Diagnostic, ...]) -> tuple[Diagnostic, ...]:
    """The findings of a whole check that a look at the same text does not have."""
    left = Counter(soon)
    kept = []
    for one in whole:
        if left[one] > 0:
            left[one] -= 1
        else:
            kept.append(one)
    return tuple(kept)


def joined(soon: tuple[Diagnostic, ...], others: tuple[Diagnostic, ...]) -> tuple[Diagnostic, ...]:
    """Both, in order of place."""
    return in_order((*soon, *others))
