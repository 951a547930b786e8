"""The singer's copy of a piece: moved into a voice's range, reduced for two hands, figured, notated."""

from __future__ import annotations

from dataclasses import dataclass

from pipeline.edition.figure import figured, named
from pipeline.edition.notate import notate_copy
from pipeline.edition.reduce import reduce
from pipeline.edition.transpose import signatures, transposed, transposed_song
from pipeline.findings.codes.song import RANGE_TOO_NARROW
from pipeline.model.copy import Copy
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.interval import Interval, Refused, best_transposition, fitted
from pipeline.model.options import Options
from pipeline.model.pitch import SpelledPitch
from pipeline.model.score import Score
from pipeline.model.song import Song
from pipeline.model.text import Span
from pipeline.model.voiced import Part, VoicedPiece


@dataclass(frozen=True, slots=True)
class Moved:
    """A piece and its song as a singer has them: in another key where that was asked for. ``words`` say how far they
    were moved, empty if they were not."""

    voiced: VoicedPiece
    song: Song
    words: str = ""
    diagnostics: tuple[Diagnostic, ...] = ()


def moved_as_asked(voiced: VoicedPiece, song: Song, options: Options) -> Moved:
    """The piece in the key that ``options`` ask for, for the copy and the practice file alike."""
    interval, found = _interval(voiced, song, options)
    if interval is None:
        return Moved(voiced, song, diagnostics=found)
    words = f"Transposed {interval.words} from the source"
    if options.voice_range is not None:
        words += f", for a voice from {options.voice_range[0]} to {options.voice_range[1]}"
    return Moved(transposed(voiced, interval), transposed_song(song, interval), words, found)


def copy_of(moved: Moved, options: Options) -> Score:
    """The singer's copy (without sung lines: a keyboard reduction) of a piece that is in its key already."""
    voiced, song = moved.voiced, moved.song
    figures = {note.led.id: columns for note, columns in figured(voiced) if columns}
    names = {note.led.onset: name for note, name in named(voiced)} if options.chord_names else {}
    reduced = reduce(voiced, options.fullness)
    copy = Copy(options.fullness, moved.words, options.chord_names)
    return notate_copy(reduced, song, copy, figures, names)


def _interval(voiced: VoicedPiece, song: Song, options: Options) -> tuple[Interval | None, tuple[Diagnostic, ...]]:
    asked = options.transpose
    if options.voice_range is not None:
        compass = _compass(voiced, song)
        if compass is None:
            return None, ()
        best = best_transposition(*compass, *options.voice_range, voiced.fifths)
        if isinstance(best, Refused):
            return None, (_refused(voiced, best),)
        asked = best
    if asked is None or not (asked.steps or asked.semitones):
        return None, ()
    return fitted(asked, signatures(voiced, song)), ()


def _compass(voiced: VoicedPiece, song: Song) -> tuple[SpelledPitch, SpelledPitch] | None:
    """Lowest and highest note sung; of a piece that is not sung those of its upper line, as meant."""
    pitches = [note.pitch for line in song.lines if not line.bass for note in line.notes if note.pitch is not None]
    if not pitches:
        pitches = [note.meant for note in voiced.notes if note.led.part is Part.UPPER]
    if not pitches:
        return None
    return min(pitches, key=lambda pitch: pitch.semitones), max(pitches, key=lambda pitch: pitch.semitones)


def _refused(voiced: VoicedPiece, refused: Refused) -> Diagnostic:
    heading = voiced.sounding.heading
    places = dict(heading.places)
    layers = (span for key, span in heading.places if key.startswith("layer "))
    span = next(layers, None) or places.get("title") or Span(voiced.sounding.tablature.name, 1, 1, 1)
    return Diagnostic(RANGE_TOO_NARROW, span, f"{refused.message}.", refused.hint)
