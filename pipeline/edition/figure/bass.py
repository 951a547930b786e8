"""The intended bass of a piece: the note on the lowest course, as the voice-leading stage reads it, and its figures."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from itertools import groupby, pairwise
from typing import TypeAlias, TypeVar

from pipeline.edition.figure.columns import BassNote, Tone, columns, harmonies
from pipeline.edition.figure.names import harmony_name
from pipeline.model.song import Figure, SungLine
from pipeline.model.tablature import BarlineKind
from pipeline.model.time import WHOLE, Ticks
from pipeline.model.voiced import Part, VoicedNote, VoicedPiece

T = TypeVar("T")
_REPEATS = frozenset({BarlineKind.REPEAT_START, BarlineKind.REPEAT_END, BarlineKind.REPEAT_BOTH})
#: Bass notes, the notes above, fifths, beat, origin → what stands over each bass note.
_Rule: TypeAlias = Callable[[Sequence[BassNote], Sequence[Tone], int, Ticks, Ticks], list[tuple[T, ...]]]


def intended_bass(piece: VoicedPiece) -> tuple[VoicedNote, ...]:
    """The bass line, one note at a time: the lowest where two of the bass part begin together."""
    basses = [note for note in piece.notes if note.led.part is Part.BASS]
    together = groupby(basses, key=lambda note: note.led.onset)
    return tuple(min(notes, key=lambda note: note.meant.semitones) for _, notes in together)


def figured(piece: VoicedPiece) -> tuple[tuple[VoicedNote, tuple[Figure, ...]], ...]:
    """Each note of the intended bass with the figures for what is struck above it; ``Figure.printed`` is false.

    Notes above are taken as their lines mean them (restored octaves applied); beats are those of the metre, crotchets
    in unmeasured music.
    """
    return _over_bass(piece, columns)


def figured_under(piece: VoicedPiece, line: SungLine) -> tuple[tuple[Figure, ...], ...]:
    """For each note and rest of a typed bass, the figures for what is struck above it, as :func:`figured` does; its
    signature is its own."""
    sung = [note for note in line.notes if note.pitch is not None]
    basses = [BassNote(note.onset, note.length, note.pitch) for note in sung if note.pitch is not None]
    own = {note.led.id for note in intended_bass(piece)}
    over = _by_stretch(piece, columns, basses, _tones(piece, own), line.fifths)
    found = {note.id: figures for note, figures in zip(sung, over, strict=True)}
    return tuple(found.get(note.id, ()) for note in line.notes)


def named(piece: VoicedPiece) -> tuple[tuple[VoicedNote, str], ...]:
    """The notes, in order, with which another chord begins, each with the chord's name: notes of the intended bass and,
    where no bass sounds (it is lost, or was never there), the lowest note of what is struck; its name then says nothing
    of the bass. At the beginning of an ending or a repeat the name is said anew: what was played before is another
    bar than the one before on the page."""
    over_bass = _over_bass(piece, harmonies)
    bass = ((note, harmony_name(pitches, piece.fifths) if pitches else "") for note, pitches in over_bass)
    every = sorted((*bass, *_without_bass(piece)), key=lambda each: each[0].led.onset)
    fresh = sorted(_fresh(piece))
    found: list[tuple[VoicedNote, str]] = []
    last: tuple[int, str] = (-1, "")
    for note, name in every:
        here = bisect_right(fresh, note.led.onset), name
        if name and here != last:
            found.append((note, name))
            last = here
    return tuple(found)


def _without_bass(piece: VoicedPiece) -> Iterator[tuple[VoicedNote, str]]:
    """What is struck while no bass sounds, with its name if it makes a chord."""
    line = intended_bass(piece)
    starts = [note.led.onset for note in line]
    for onset, group in groupby(piece.notes, key=lambda note: note.led.onset):
        before = bisect_right(starts, onset) - 1
        if before >= 0 and line[before].led.onset + line[before].led.length > onset:
            continue
        notes = sorted(group, key=lambda note: note.meant.semitones)
        if len({note.meant.semitones % 12 for note in notes}) > 1:
            chord = harmony_name([note.meant for note in notes], piece.fifths)
            yield notes[0], chord.partition("/")[0]


def _fresh(piece: VoicedPiece) -> Iterator[Ticks]:
    """Where the music on the page does not follow what was played before."""
    bars = piece.sounding.bars
    for before, bar in pairwise(bars):
        lines = (before.bar.closing, bar.opening)
        repeats = any(line is not None and line.kind in _REPEATS for line in lines)
        if bar.ending != before.ending or repeats:
            yield bar.onset


def _over_bass(piece: VoicedPiece, rule: _Rule[T]) -> tuple[tuple[VoicedNote, tuple[T, ...]], ...]:
    """What a rule makes of each note of the intended bass, stretch by stretch of one beat."""
    line = intended_bass(piece)
    own = {note.led.id for note in line}
    basses = [BassNote(note.led.onset, note.led.length, note.meant) for note in line]
    return tuple(zip(line, _by_stretch(piece, rule, basses, _tones(piece, own)), strict=True))


def _by_stretch(
    piece: VoicedPiece, rule: _Rule[T], basses: Sequence[BassNote], above: Sequence[Tone], signature: int | None = None
) -> list[tuple[T, ...]]:
    made: list[tuple[T, ...]] = []
    start = 0
    for begins, ends, beat, fifths in _same_metre(piece):
        end = start
        while end < len(basses) and basses[end].onset < ends:
            end += 1
        made.extend(rule(basses[start:end], above, fifths if signature is None else signature, beat, begins))
        start = end
    made.extend(() for _ in basses[start:])
    return made


def _tones(piece: VoicedPiece, own: set[str]) -> list[Tone]:
    """All other notes, each with its steps from and to its neighbours in its voice."""
    voices: dict[int, list[VoicedNote]] = {}
    for note in piece.notes:
        if note.led.id not in own:
            voices.setdefault(note.led.voice, []).append(note)
    tones = []
    for notes in voices.values():
        for place, note in enumerate(notes):
            before = notes[place - 1] if place else note
            after = notes[place + 1] if place + 1 < len(notes) else note
            here = note.meant.diatonic
            tones.append(
                Tone(
                    note.led.onset,
                    note.led.length,
                    note.meant,
                    here - before.meant.diatonic if before.led.onset < note.led.onset else 0,
                    after.meant.diatonic - here if after.led.onset > note.led.onset else 0,
                )
            )
    return sorted(tones, key=lambda tone: tone.onset)


def _same_metre(piece: VoicedPiece) -> list[tuple[Ticks, Ticks, Ticks, int]]:
    """Stretches of one beat and one key: start, end, beat, in ticks; signature in fifths."""
    found: list[tuple[Ticks, Ticks, Ticks, int]] = []
    for bar in piece.sounding.bars:
        beat = WHOLE // bar.metre.unit if bar.metre is not None and bar.metre.beats else WHOLE // 4
        fifths = bar.key.fifths if bar.key is not None else piece.fifths
        in_step = found and found[-1][2:] == (beat, fifths) and (bar.onset - found[-1][0]) % beat == 0
        if in_step:
            found[-1] = (found[-1][0], bar.end, beat, fifths)
        else:
            found.append((bar.onset, bar.end, beat, fifths))
    return found
