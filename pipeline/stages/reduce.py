"""Reduce: the lute's texture folded into what two hands can play at a keyboard.

Lines stand as they are meant, restored octaves applied. Sounds doubled on two courses stand once. Inner notes go to
the hand that reaches them within a tenth, at most three parts a hand; a note that neither reaches is left out if it
doubles another, else moved by an octave into reach. Source: common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import groupby

from pipeline.model.copy import Fullness
from pipeline.model.pitch import SpelledPitch
from pipeline.model.time import Ticks
from pipeline.model.voiced import Part, VoicedNote, VoicedPiece

#: A tenth, in semitones.
_REACH = 16
_PARTS_A_HAND = 3
_UPPER, _ALTO, _TENOR, _BASS = 1, 2, 3, 4


def reduce(voiced: VoicedPiece, fullness: Fullness) -> VoicedPiece:
    """The same piece for two hands: four voices at most, two to a staff. Ids of the notes stay, so that every note
    leads back to its sign; notes left out are those of the doublings, or, in a sketch, all inner ones."""
    hands = _Hands(fullness)
    notes: list[VoicedNote] = []
    for _, group in groupby(voiced.notes, key=lambda note: note.led.onset):
        notes.extend(hands.chord([replace(note, spelling=note.meant) for note in group]))
    notes = _apart(notes)
    notes.sort(key=lambda note: (note.led.onset, note.led.voice, -note.spelling.semitones))
    return replace(voiced, led=replace(voiced.led, voices=_BASS), notes=tuple(notes))


@dataclass(slots=True)
class _Ringing:
    """The last note of an outer voice, and when it ends."""

    pitch: int
    end: Ticks


class _Hands:
    """Gives the notes of each moment to two hands, knowing what they still hold."""

    def __init__(self, fullness: Fullness) -> None:
        self._fullness = fullness
        self._upper: _Ringing | None = None
        self._bass: _Ringing | None = None

    def chord(self, notes: list[VoicedNote]) -> list[VoicedNote]:
        """The notes that begin together, each given its voice, or left out."""
        upper = [note for note in notes if note.led.part is Part.UPPER]
        bass = [note for note in notes if note.led.part is Part.BASS]
        inner = [note for note in notes if note.led.part not in (Part.UPPER, Part.BASS)]
        kept = [_given(note, _UPPER, Part.UPPER) for note in _once(upper)]
        kept += [_given(note, _BASS, Part.BASS) for note in _once(bass)]
        if upper:
            self._upper = _Ringing(_highest(upper), _end(upper[0]))
        if bass:
            self._bass = _Ringing(_lowest(bass), _end(bass[0]))
        if self._fullness is Fullness.SKETCH:
            return kept
        inner = [note for note in _once(inner) if note.spelling.semitones not in _pitches(kept)]
        return kept + self._inner(sorted(inner, key=lambda note: -note.spelling.semitones), kept, notes)

    def _inner(self, inner: list[VoicedNote], outer: list[VoicedNote], notes: list[VoicedNote]) -> list[VoicedNote]:
        onset = notes[0].led.onset
        right = self._right(onset, outer)
        left = self._left(onset, outer)
        made: list[VoicedNote] = []
        for note in inner:
            pitch = note.spelling.semitones
            if _fits(right, pitch):
                right.append(pitch)
                made.append(_given(note, _ALTO, Part.ALTO))
            elif _fits(left, pitch):
                left.append(pitch)
                made.append(_given(note, _TENOR, Part.TENOR))
            elif self._fullness is Fullness.FULL:
                made.append(_given(note, _TENOR, Part.TENOR))
            elif pitch % 12 not in {kept.spelling.semitones % 12 for kept in (*outer, *made)}:
                moved = _moved_into(right, note)
                if moved is not None:
                    right.append(moved.spelling.semitones)
                    made.append(_given(moved, _ALTO, Part.ALTO))
        return made

    def _right(self, onset: Ticks, outer: list[VoicedNote]) -> list[int]:
        held = [note.spelling.semitones for note in outer if note.led.voice == _UPPER]
        if not held and self._upper is not None and self._upper.end > onset:
            held = [self._upper.pitch]
        return held

    def _left(self, onset: Ticks, outer: list[VoicedNote]) -> list[int]:
        held = [note.spelling.semitones for note in outer if note.led.voice == _BASS]
        if not held and self._bass is not None and self._bass.end > onset:
            held = [self._bass.pitch]
        return held


def _fits(hand: list[int], pitch: int) -> bool:
    together = [*hand, pitch]
    return len(together) <= _PARTS_A_HAND and max(together) - min(together) <= _REACH


def _moved_into(right: list[int], note: VoicedNote) -> VoicedNote | None:
    """The note one or two octaves higher, below the right hand's top and within reach; None without room."""
    if not right or len(right) >= _PARTS_A_HAND:
        return None
    pitch = note.spelling
    for octaves in (1, 2):
        higher = SpelledPitch(pitch.step, pitch.alter, pitch.octave + octaves)
        if higher.semitones < max(right) and max(right) - higher.semitones <= _REACH:
            return replace(note, spelling=higher)
    return None


def _once(notes: list[VoicedNote]) -> list[VoicedNote]:
    """Of notes that double each other in unison the longest, in the order given."""
    longest: dict[int, VoicedNote] = {}
    for note in notes:
        other = longest.get(note.spelling.semitones)
        if other is None or note.led.length > other.led.length:
            longest[note.spelling.semitones] = note
    return list(longest.values())


def _apart(notes: list[VoicedNote]) -> list[VoicedNote]:
    """Cut every inner note where its voice begins something else, so that no voice overlaps itself; notes that begin
    together in a voice get one length."""
    by_voice: dict[int, list[VoicedNote]] = {}
    for note in notes:
        by_voice.setdefault(note.led.voice, []).append(note)
    made: list[VoicedNote] = []
    for voice in sorted(by_voice):
        moments = [list(group) for _, group in groupby(by_voice[voice], key=lambda note: note.led.onset)]
        for at, group in enumerate(moments):
            length = min(note.led.length for note in group)
            if at + 1 < len(moments):
                length = min(length, moments[at + 1][0].led.onset - group[0].led.onset)
            made.extend(_lasting(note, length) for note in group)
    return _joined(made)


def _joined(notes: list[VoicedNote]) -> list[VoicedNote]:
    """Inner notes that begin and end with the outer voice of their hand stand on its stem."""
    outer = {(note.led.voice, note.led.onset): note.led.length for note in notes if note.led.voice in (_UPPER, _BASS)}
    made = []
    for note in notes:
        home = {_ALTO: (_UPPER, Part.UPPER), _TENOR: (_BASS, Part.BASS)}.get(note.led.voice)
        joins = home is not None and outer.get((home[0], note.led.onset)) == note.led.length
        made.append(_given(note, *home) if home is not None and joins else note)
    return made


def _given(note: VoicedNote, voice: int, part: Part) -> VoicedNote:
    return replace(note, led=replace(note.led, voice=voice, part=part))


def _lasting(note: VoicedNote, length: Ticks) -> VoicedNote:
    return note if note.led.length == length else replace(note, led=replace(note.led, length=length))


def _pitches(notes: list[VoicedNote]) -> set[int]:
    return {note.spelling.semitones for note in notes}


def _highest(notes: list[VoicedNote]) -> int:
    return max(note.spelling.semitones for note in notes)


def _lowest(notes: list[VoicedNote]) -> int:
    return min(note.spelling.semitones for note in notes)


def _end(note: VoicedNote) -> Ticks:
    return note.led.onset + note.led.length
