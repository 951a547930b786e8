"""The singer's copy of a piece: moved into a voice's range, reduced for two hands, figured, notated."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pipeline.edition.figure import figured, named
from pipeline.edition.notate import notate_copy
from pipeline.edition.reduce import reduce
from pipeline.edition.transpose import signatures, transposed, transposed_song
from pipeline.findings.codes.song import RANGE_TOO_NARROW, RANGES_AND_VOICES
from pipeline.model.copy import Copy
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.interval import Interval, Range, Refused, best_for_voices, fitted
from pipeline.model.options import Options
from pipeline.model.pitch import SpelledPitch
from pipeline.model.score import Score
from pipeline.model.song import Song, SungLine
from pipeline.model.text import Span
from pipeline.model.voiced import Part, VoicedPiece


@dataclass(frozen=True, slots=True)
class Moved:
    """A piece and its song as a singer has them: in another key where that was asked for. ``words`` say how far they
    were moved, empty if they were not; ``letters_left_out`` that chord letters stayed behind."""

    voiced: VoicedPiece
    song: Song
    words: str = ""
    letters_left_out: bool = False
    diagnostics: tuple[Diagnostic, ...] = ()


def moved_as_asked(voiced: VoicedPiece, song: Song, options: Options) -> Moved:
    """The piece in the key that ``options`` ask for, for the copy and the practice file alike."""
    interval, found = _interval(voiced, song, options)
    if interval is None:
        return Moved(voiced, song, diagnostics=found)
    words = f"Transposed {interval.words} from the source"
    if options.voice_range is not None:
        words += f", for {_voices_said(song, options.voice_range)}"
    return Moved(transposed(voiced, interval), transposed_song(song, interval), words, bool(song.chords), found)


def copy_of(moved: Moved, options: Options) -> Score:
    """The singer's copy (without sung lines: a keyboard reduction) of a piece that is in its key already."""
    voiced, song = moved.voiced, moved.song
    figures = {note.led.id: columns for note, columns in figured(voiced) if columns}
    names = {note.led.onset: name for note, name in named(voiced)} if options.chord_names else {}
    reduced = reduce(voiced, options.fullness)
    copy = Copy(options.fullness, moved.words, options.chord_names, moved.letters_left_out)
    return notate_copy(reduced, song, copy, figures, names)


def _interval(voiced: VoicedPiece, song: Song, options: Options) -> tuple[Interval | None, tuple[Diagnostic, ...]]:
    asked = options.transpose
    found: tuple[Diagnostic, ...] = ()
    if options.voice_range is not None:
        parts = _parts(voiced, song, options.voice_range)
        if not parts:
            return None, ()
        best = best_for_voices(parts, voiced.fifths)
        if isinstance(best, Refused):
            return None, (_refused(voiced, best),)
        asked = best
        found = tuple(_unasked(voiced, song, options.voice_range))
    if asked is None or not (asked.steps or asked.semitones):
        return None, found
    return fitted(asked, signatures(voiced, song)), found


def _parts(voiced: VoicedPiece, song: Song, ranges: tuple[Range, ...]) -> list[tuple[Range, Range]]:
    """Each voice's compass with the range it is to fit. Of several ranges the first is that of the voice that stands
    highest, and so on; a single one is that of all voices together if they fit, else of the first voice. Of a piece
    that is not sung the upper line, as meant, has the first range."""
    compasses = [compass for compass in (_compass(line) for line in _voices(song)) if compass is not None]
    if not compasses:
        pitches = [note.meant for note in voiced.notes if note.led.part is Part.UPPER]
        compasses = [_ends(pitches)] if pitches else []
    if len(ranges) == 1 and len(compasses) > 1:
        together = _ends([pitch for compass in compasses for pitch in compass])
        if _span(together) <= _span(ranges[0]):
            return [(together, ranges[0])]
    return list(zip(compasses, ranges, strict=False))


def _voices(song: Song) -> list[SungLine]:
    return [line for line in song.lines if not line.bass]


def _compass(line: SungLine) -> Range | None:
    pitches = [note.pitch for note in line.notes if note.pitch is not None]
    return _ends(pitches) if pitches else None


def _ends(pitches: Sequence[SpelledPitch]) -> Range:
    """Lowest and highest."""
    return min(pitches, key=lambda pitch: pitch.semitones), max(pitches, key=lambda pitch: pitch.semitones)


def _span(compass: Range) -> int:
    return compass[1].semitones - compass[0].semitones


def _voices_said(song: Song, ranges: tuple[Range, ...]) -> str:
    """``a voice from C4 to G5``, or of several voices each with its name."""
    said = [f"{low} to {high}" for low, high in ranges]
    names = [line.title or line.name for line in _voices(song)]
    if len(names) < 2 or len(ranges) < 2:
        return f"a voice from {said[0]}"
    return ", ".join(f"{name} from {text}" for name, text in zip(names, said, strict=False))


def _unasked(voiced: VoicedPiece, song: Song, ranges: tuple[Range, ...]) -> Iterator[Diagnostic]:
    """Voices that were given no range, and ranges that no voice has."""
    lines = [(line, compass) for line in _voices(song) if (compass := _compass(line)) is not None]
    together = _ends([pitch for _, compass in lines for pitch in compass]) if lines else None
    if len(ranges) == 1 and (together is None or _span(together) <= _span(ranges[0])):
        return
    if len(ranges) < len(lines):
        asked, rest = (
            ", ".join(line.title or line.name for line, _ in some)
            for some in (lines[: len(ranges)], lines[len(ranges) :])
        )
        message = f"The range asked for is that of {asked}; none is given for {rest}."
    elif len(ranges) > max(1, len(lines)):
        message = f"{len(ranges)} ranges are asked for, and {len(lines)} voices are sung; the last are not used."
    else:
        return
    hint = "One range for each voice, from the highest down: --range C4:G5,C3:E4"
    yield Diagnostic(RANGES_AND_VOICES, _place(voiced), message, hint)


def _refused(voiced: VoicedPiece, refused: Refused) -> Diagnostic:
    return Diagnostic(RANGE_TOO_NARROW, _place(voiced), f"{refused.message}.", refused.hint)


def _place(voiced: VoicedPiece) -> Span:
    """Where the voices are declared, or the title stands."""
    heading = voiced.sounding.heading
    places = dict(heading.places)
    layers = (span for key, span in heading.places if key.startswith("layer "))
    return next(layers, None) or places.get("title") or Span(voiced.sounding.tablature.name, 1, 1, 1)
