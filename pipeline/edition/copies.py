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
class Plan:
    """A copy, and what was found on the way; ``score`` is None where none is made."""

    score: Score | None
    diagnostics: tuple[Diagnostic, ...] = ()


def copy_of(voiced: VoicedPiece, song: Song, options: Options) -> Plan:
    """The singer's copy (without sung lines: a keyboard reduction) as ``options`` ask for it."""
    interval, found = _interval(voiced, song, options)
    moved = ""
    if interval is not None:
        voiced, song = transposed(voiced, interval), transposed_song(song, interval)
        moved = f"Transposed {interval.words} from the source"
        if options.voice_range is not None:
            moved += f", for a voice from {options.voice_range[0]} to {options.voice_range[1]}"
    figures = {note.led.id: columns for note, columns in figured(voiced) if columns}
    names = {note.led.onset: name for note, name in named(voiced)} if options.chord_names else {}
    reduced = reduce(voiced, options.fullness)
    copy = Copy(options.fullness, moved, options.chord_names)
    return Plan(notate_copy(reduced, song, copy, figures, names), found)


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
