"""Checks of the lines beside the tablature against it and in themselves: one to a file, each a pure function from the
piece and its song to findings. All of them ask; none is sure."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from pipeline.model.diagnostics import Diagnostic
from pipeline.model.song import Song
from pipeline.model.sounding import SoundingPiece
from pipeline.source.songchecks import bass, clash, figures, leaps, letters

SongCheck = Callable[[SoundingPiece, Song], Iterator[Diagnostic]]

SONG_CHECKS: tuple[SongCheck, ...] = (leaps.check, clash.check, bass.check, figures.check, letters.check)


def run_song_checks(piece: SoundingPiece, song: Song) -> tuple[Diagnostic, ...]:
    """The findings of all checks, check by check."""
    return tuple(finding for check in SONG_CHECKS for finding in check(piece, song))
