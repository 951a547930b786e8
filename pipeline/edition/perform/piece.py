"""The whole piece performed: its parts, the click, the metres."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from operator import attrgetter

from pipeline.edition.perform.strokes import delays
from pipeline.model.performance import Beat, Passage, Performance, PlayedNote, PlayedPart, Sounder
from pipeline.model.record import replace
from pipeline.model.song import Song, SungLine, SungNote, WordPlace
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.tablature import BarKind
from pipeline.model.time import WHOLE, Metre, Ticks
from pipeline.model.voiced import VoicedNote, VoicedPiece
from pipeline.source.passages import passages

#: Crotchets of the edition a minute, unless asked otherwise. Source: none, an easy pace for practice.
CROTCHETS = 72
_onset: Callable[[PlayedNote], Ticks] = attrgetter("onset")


def perform(voiced: VoicedPiece, song: Song | None = None, crotchets: int = CROTCHETS) -> Performance:
    """The piece as it is played through, for practice. Linear time.

    The tablature part sounds every string of a course (octaves too) as long as the reading lets it ring; strings in
    unison that are struck together sound once. Sung lines and basses are parts of their own, tied notes joined. Both
    sound as they are spelled, so a transposed piece with its transposed song sounds in the new key. Ornaments,
    fermatas and "and so on" are not played out.
    """
    piece = voiced.sounding
    plan = passages(piece)
    lines = song.lines if song is not None else ()
    parts = [_part(line, plan) for line in lines]
    struck = delays(piece, crotchets)
    lute = sorted({note for each in voiced.notes for note in _strings(each, struck)}, key=_order)
    parts.append(PlayedPart(piece.heading.instrument.name, Sounder.LUTE, _played(lute, plan)))
    end = plan[-1].at + plan[-1].end - plan[-1].start if plan else 0
    return Performance(
        piece.heading.title,
        piece.heading.pitch,
        crotchets,
        plan,
        tuple(parts),
        tuple(_beats(piece, plan)),
        tuple(_metres(piece, plan)),
        end,
    )


def _order(note: PlayedNote) -> tuple[Ticks, int]:
    return note.onset, note.pitch


def _strings(note: VoicedNote, struck: dict[str, Ticks]) -> Iterator[PlayedNote]:
    """Every string of a stop, in written time. The spelling says how far a copy is transposed."""
    led = note.led
    moved = note.spelling.semitones - led.stop.pitch
    delay = struck.get(led.id, 0)
    for pitch in led.stop.strings:
        yield PlayedNote(led.onset + delay, max(1, led.length - delay), pitch + moved)


def _part(line: SungLine, plan: Sequence[Passage]) -> PlayedPart:
    """A sung line; a note ends where the next begins, even where the typing overlaps."""
    notes: list[PlayedNote] = []
    for note in line.notes:
        if note.pitch is None:
            continue
        pitch = note.pitch.semitones
        last = notes[-1] if notes else None
        if last is not None and last.onset + last.length > note.onset:
            last = notes[-1] = replace(last, length=max(1, note.onset - last.onset))
        if last is not None and note.tied and last.pitch == pitch and last.onset + last.length == note.onset:
            notes[-1] = replace(last, length=last.length + note.length)
        else:
            notes.append(PlayedNote(note.onset, note.length, pitch, _syllable(note)))
    sounder = Sounder.BASS if line.bass else Sounder.VOICE
    return PlayedPart(line.title or line.name, sounder, _played(notes, plan))


def _syllable(note: SungNote) -> str:
    for syllable in note.syllables:
        if syllable.stanza == 1 and syllable.text:
            goes_on = syllable.place in (WordPlace.BEGIN, WordPlace.MIDDLE)
            return f"{syllable.text}{'-' if goes_on else ' '}"
    return ""


def _played(notes: Sequence[PlayedNote], plan: Sequence[Passage]) -> tuple[PlayedNote, ...]:
    """Notes in written time, passage by passage; a note is cut where the music jumps away."""
    played: list[PlayedNote] = []
    for number, passage in enumerate(plan):
        jumps = number + 1 < len(plan)
        for note in notes[bisect_left(notes, passage.start, key=_onset) : bisect_left(notes, passage.end, key=_onset)]:
            length = min(note.length, passage.end - note.onset) if jumps else note.length
            played.append(PlayedNote(note.onset + passage.shift, length, note.pitch, note.text))
    return tuple(played)


def _beats(piece: SoundingPiece, plan: Sequence[Passage]) -> Iterator[Beat]:
    """A stroke for each beat of the metre; without a metre one for each bar. An upbeat counts back from its end."""
    for passage, bar in _bars(piece, plan):
        for onset, first in _strokes(bar):
            if passage.start <= onset < passage.end:
                yield Beat(onset + passage.shift, first)


def _strokes(bar: SoundingBar) -> Iterator[tuple[Ticks, bool]]:
    if bar.metre is None or not bar.metre.beats:
        yield bar.onset, True
        return
    beat = WHOLE // bar.metre.unit
    short = bar.bar.kind is BarKind.SHORT
    start = bar.onset + (bar.length % beat if short else 0)
    for number, onset in enumerate(range(start, bar.end, beat)):
        yield onset, number % bar.metre.beats == 0 and not short


def _metres(piece: SoundingPiece, plan: Sequence[Passage]) -> Iterator[tuple[Ticks, Metre]]:
    """Where the metre differs from that of the bar played before."""
    last: Metre | None = None
    for passage, bar in _bars(piece, plan):
        if bar.metre is not None and bar.metre.beats and bar.metre != last:
            yield max(bar.onset, passage.start) + passage.shift, bar.metre
            last = bar.metre


def _bars(piece: SoundingPiece, plan: Sequence[Passage]) -> Iterator[tuple[Passage, SoundingBar]]:
    """The bars that lie in each passage, wholly or in part, in the order of playing."""
    ends = [bar.end for bar in piece.bars]
    for passage in plan:
        for bar in piece.bars[bisect_left(ends, passage.start + 1) :]:
            if bar.onset >= passage.end:
                break
            yield passage, bar
