"""The reading: records to arrays, voices, lengths and octaves read together, arrays back to records."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence

import numpy as np

from pipeline.edition.lead.bells import bells
from pipeline.edition.lead.lines import (
    FREE,
    LineArrays,
    StopArrays,
    impossible_pins,
    next_strikes,
    played_basso,
    read_lines,
)
from pipeline.edition.lead.strokes import Struck, closing_walls, silences, strokes_of, strummed
from pipeline.edition.spelling import spell
from pipeline.model.song import Song
from pipeline.model.sounding import SoundingPiece
from pipeline.model.time import Ticks
from pipeline.model.voiced import Decided, LedNote, LedPiece, Part, Restored

METHOD = (
    "Voices, lengths and octaves are read together, by weights learned from scores of the period that were arranged "
    "for the instrument and from editions; lines are named by register while they are followed."
)
_NEVER: Ticks = 1 << 60
NO_SONG = Song()
#: Why a pinned length is not written out in full.
_CUT = "its voice moves on, its strain ends or a rest stands before that"


def lead(piece: SoundingPiece, song: Song = NO_SONG) -> LedPiece:
    """Give every sound its voice, its length and the octave that its line means. Pinned readings are followed; a bass
    typed in ``song`` is evidence of what the bass is."""
    struck = strokes_of(piece)
    if not struck:
        return LedPiece(piece, (), 1, (), METHOD)
    stops = _arrays(struck, piece, song)
    read = read_lines(stops, piece.heading.voices)
    lengths = _lengths(struck, stops, read, piece)
    led = sorted(
        (_note(struck, read, row, lengths[row]) for row in range(len(struck))),
        key=lambda note: (note.onset, note.voice, -note.stop.pitch, note.stop.course),
    )
    refused = {struck[pin.row].stop.id: pin.why.value for pin in impossible_pins(stops)}
    for one, length in zip(struck, lengths, strict=True):
        if one.pinned_to and one.event.onset + length < one.pinned_to:
            refused.setdefault(one.stop.id, _CUT)
    return LedPiece(
        piece,
        tuple(led),
        read.voices,
        bells(led),
        METHOD,
        read.habit,
        tuple(sorted(read.evidence.items())),
        tuple(refused.items()),
    )


def _arrays(struck: Sequence[Struck], piece: SoundingPiece, song: Song) -> StopArrays:
    def column(values: list[int]) -> np.ndarray:
        return np.array(values, dtype=np.int64)

    re_entrant = {bar.index: frozenset(bar.instrument.re_entrant) for bar in piece.bars}
    onset = column([one.event.onset for one in struck])
    course = column([one.stop.course for one in struck])
    declared = piece.heading.key
    pitches = [one.stop.pitch for one in struck]
    key = declared.fifths if declared is not None else spell(onset.tolist(), pitches).signature
    return StopArrays(
        onset,
        column(pitches),
        course,
        column([one.stop.fret for one in struck]),
        np.array([one.stop.course in re_entrant[one.bar.index] for one in struck], dtype=np.bool_),
        np.array([one.stop.course > one.bar.instrument.stopped for one in struck], dtype=np.bool_),
        next_strikes(onset, course),
        column([one.event.onset - one.bar.onset for one in struck]),
        key,
        column([_pinned(one.pin.voice if one.pin else None) for one in struck]),
        column([_pinned(one.pin.octave if one.pin else None) for one in struck]),
        column([_pinned_length(one) for one in struck]),
        np.array([strummed(one.event) for one in struck], dtype=np.bool_),
        played_basso(onset, column(pitches), _basso(song)),
        np.array([one.bar.repeats is not None for one in struck], dtype=np.bool_),
        column([one.bar.index for one in struck]),
    )


def _basso(song: Song) -> dict[Ticks, int]:
    """The notes of the typed bass that are struck, by their onsets."""
    notes = [note for line in song.lines if line.bass for note in line.notes]
    return {note.onset: note.pitch.semitones for note in notes if note.pitch is not None and not note.tied}


def _pinned(value: int | None) -> int:
    return FREE if value is None else value


def _pinned_length(one: Struck) -> int:
    end = one.pinned_to or one.held_to
    return end - one.event.onset if end else FREE


def _lengths(struck: Sequence[Struck], stops: StopArrays, read: LineArrays, piece: SoundingPiece) -> list[Ticks]:
    """The lengths read, kept within what the page says: a printed rest, the end of the strain, the next note of the
    voice; an event without a value lasts until the next. One length for the notes of a voice that begin together."""
    walls, rests = closing_walls(piece), silences(piece)
    moves = _moves(struck, read.voice.tolist())
    together: dict[tuple[int, Ticks], Ticks] = {}
    rows = zip(struck, read.voice.tolist(), read.length.tolist(), stops.next_strike.tolist(), moves, strict=True)
    for one, voice, length, strike, move in rows:
        onset, wall = one.event.onset, walls[one.bar.index]
        end = onset + length
        if one.event.sign is None and not (one.held_to or one.pinned_to):
            end = onset + one.event.length
        elif move >= wall and not one.pinned_to:  # the last of its strain: it has no reason to stop within the bar
            end = max(end, min(one.bar.end, strike))
        at = bisect_right(rests, onset)
        end = max(onset + 1, min(end, wall, move, rests[at] if at < len(rests) else _NEVER))
        key = (voice, onset)
        together[key] = min(together.get(key, _NEVER), end)
    return [
        together[voice, one.event.onset] - one.event.onset
        for one, voice in zip(struck, read.voice.tolist(), strict=True)
    ]


def _moves(struck: Sequence[Struck], voices: Sequence[int]) -> list[Ticks]:
    """For each stroke when its voice begins something else."""
    found = [_NEVER] * len(struck)
    now: dict[int, Ticks] = {}
    later: dict[int, Ticks] = {}
    for row in range(len(struck) - 1, -1, -1):
        voice, onset = voices[row], struck[row].event.onset
        if now.get(voice) != onset:
            later[voice] = now.get(voice, _NEVER)
            now[voice] = onset
        found[row] = later[voice]
    return found


def _note(struck: Sequence[Struck], read: LineArrays, row: int, length: Ticks) -> LedNote:
    one, voice, before = struck[row], int(read.voice[row]), int(read.follows[row])
    pin = one.pin
    decided = Decided.RULE if pin is None else Decided.EDITOR
    return LedNote(
        one.stop.id,
        one.stop,
        one.event.onset,
        length,
        voice,
        part_of(voice, read.voices),
        decided,
        _restored(read, row, one),
        struck[before].stop.id if before >= 0 else "",
        round(float(read.link[row]), 3),
    )


def part_of(voice: int, voices: int) -> Part:
    """The kind of line of a voice among so many: the highest is the upper part, the lowest the bass; of four or more
    the inner ones keep to their staves."""
    if voice == 1:
        return Part.UPPER
    if voice == voices:
        return Part.BASS
    if voices <= 3:
        return Part.MIDDLE
    return Part.ALTO if voice <= voices // 2 else Part.TENOR


def _restored(read: LineArrays, row: int, one: Struck) -> Restored | None:
    octave = int(read.octave[row])
    if one.pin is not None and one.pin.octave is not None:
        return Restored(octave, 1.0, asked=False, decided=Decided.EDITOR) if octave else None
    chance = round(float(read.chance[row]), 3)
    if octave:
        return Restored(octave, chance, asked=False, decided=Decided.RULE)
    return Restored(1, chance, asked=True, decided=Decided.RULE) if read.asked[row] else None
