"""The whole piece performed: its parts, the click, the metres, the pace."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.edition.perform.count import beats, count_in, metres
from pipeline.edition.perform.pace import Pace
from pipeline.edition.perform.played import played
from pipeline.edition.perform.strokes import delays
from pipeline.edition.perform.sung import most_turns, sung_part
from pipeline.model.performance import Beat, Manner, Passage, Performance, PlayedNote, PlayedPart, Sounder
from pipeline.model.song import Song
from pipeline.model.time import Ticks
from pipeline.model.voiced import VoicedNote, VoicedPiece
from pipeline.source.passages import passages

_NO_SONG = Song()
_USUAL = Manner()


def perform(voiced: VoicedPiece, song: Song | None = None, manner: Manner = _USUAL) -> Performance:
    """The piece as it is played through, for practice. Linear time.

    The tablature part sounds every string of a course (octaves too) as long as the reading lets it ring; strings in
    unison that are struck together sound once. Sung lines and basses are parts of their own, tied notes joined, with
    the words of the next stanza each time the music comes round. Both sound as they are spelled, so a transposed piece
    with its transposed song sounds in the new key. Ornaments, fermatas and "and so on" are not played out.
    """
    piece = voiced.sounding
    pace = Pace(piece, manner.crotchets)
    lead, counted, metre = count_in(piece) if manner.count_in else (0, (), None)
    plan = tuple(Passage(each.start, each.end, each.at + lead) for each in passages(piece))
    sung = song or _NO_SONG
    parts = [sung_part(line, plan, piece.bars) for line in sung.lines]
    struck = delays(piece, pace.at)
    lute = sorted({note for each in voiced.notes for note in _strings(each, struck)}, key=_order)
    parts.append(PlayedPart(piece.heading.instrument.name, Sounder.LUTE, played(lute, plan)))
    return Performance(
        piece.heading.title,
        piece.heading.pitch,
        pace.played(plan),
        plan,
        tuple(parts),
        (*counted, *beats(piece, plan)),
        tuple(metres(piece, plan, (lead, metre) if metre is not None else None)),
        plan[-1].at + plan[-1].end - plan[-1].start if plan else lead,
        manner.moved,
        tuple(_remarks(sung, pace, plan, counted)),
    )


def _remarks(song: Song, pace: Pace, plan: tuple[Passage, ...], counted: tuple[Beat, ...]) -> Iterator[str]:
    """What the file assumes, in words."""
    yield pace.said()
    if counted:
        yield "Count-in: a bar, and what an upbeat lacks of one."
    stanzas, turns = max((line.stanzas for line in song.lines), default=0), most_turns(plan)
    if stanzas > 1 and turns > 1:
        yield "Words: the next stanza each time the music comes round."
    if stanzas > max(1, turns):
        left = f"stanzas {turns + 1} to {stanzas} are" if stanzas > turns + 1 else f"stanza {stanzas} is"
        yield f"Words: {left} not sung; the music does not come round so often."
    yield "Ornaments, fermatas and “and so on” are not played."


def _order(note: PlayedNote) -> tuple[Ticks, int]:
    return note.onset, note.pitch


def _strings(note: VoicedNote, struck: dict[str, Ticks]) -> Iterator[PlayedNote]:
    """Every string of a stop, in written time. The spelling says how far a copy is transposed."""
    led = note.led
    moved = note.spelling.semitones - led.stop.pitch
    delay = struck.get(led.id, 0)
    for pitch in led.stop.strings:
        yield PlayedNote(led.onset + delay, max(1, led.length - delay), pitch + moved)
