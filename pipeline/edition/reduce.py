"""Reduce: the lute's texture folded into what two hands can play at a keyboard.

Lines stand as they are meant, restored octaves applied. Sounds doubled on two courses stand once. Inner notes go to
the hand that reaches them within a tenth, at most three parts a hand, and end where the outer line of that hand moves
out of reach; a note that neither reaches is left out if it doubles another, else moved by an octave into reach.
Source: common practice, no source.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from itertools import groupby

from pipeline.model.copy import Fullness
from pipeline.model.pitch import SpelledPitch
from pipeline.model.record import replace
from pipeline.model.time import Ticks
from pipeline.model.voiced import Part, VoicedNote, VoicedPiece

#: A tenth, in semitones.
_REACH = 16
_PARTS_A_HAND = 3
#: Below G3 an inner note belongs to the left hand: it would hang far under the upper staff.
_LOW = 55
_UPPER, _ALTO, _TENOR, _BASS = 1, 2, 3, 4


def reduce(voiced: VoicedPiece, fullness: Fullness) -> VoicedPiece:
    """The same piece for two hands: four voices at most, two to a staff. Ids of the notes stay, so that every note
    leads back to its sign; notes left out are those of the doublings, or, in a sketch, the inner ones: its
    melody is the upper line and, where that is silent, what sounds highest."""
    hands = _Hands(fullness)
    notes: list[VoicedNote] = []
    for _, group in groupby(voiced.notes, key=lambda note: note.led.onset):
        notes.extend(hands.chord([_as_meant(note) for note in group]))
    notes = _apart([_ended(note, hands.cuts) for note in notes])
    notes.sort(key=lambda note: (note.led.onset, note.led.voice, -note.spelling.semitones))
    return replace(voiced, led=replace(voiced.led, voices=_BASS), notes=tuple(notes))


@dataclass(slots=True)
class _Hand:
    """What one hand holds: the note of its outer line, and its inner notes, which begin and end together."""

    outer_voice: int
    outer_part: Part
    inner_voice: int
    inner_part: Part
    outer: int | None = None  # pitch
    outer_end: Ticks = 0
    inner: list[int] = field(default_factory=list)
    inner_ids: list[str] = field(default_factory=list)
    inner_end: Ticks = 0
    fresh: bool = False  # the inner notes begin at the moment in hand

    def at(self, onset: Ticks) -> None:
        """Let go of what has ended."""
        if self.outer_end <= onset:
            self.outer = None
        if self.inner_end <= onset:
            self.inner, self.inner_ids = [], []
        self.fresh = False

    @property
    def held(self) -> list[int]:
        """What a further inner note would sound with: older inner notes end where it begins."""
        outer = [] if self.outer is None else [self.outer]
        return [*outer, *self.inner] if self.fresh else outer

    def strike(self, note: VoicedNote) -> list[str]:
        """Take a note of the outer line. Returns the ids of inner notes that must end now to let the hand reach it."""
        self.outer, self.outer_end = note.spelling.semitones, _end(note)
        if not self.inner or _within_reach([self.outer, *self.inner]):
            return []
        ended, self.inner, self.inner_ids = self.inner_ids, [], []
        return ended

    def add(self, note: VoicedNote) -> VoicedNote:
        """Take an inner note."""
        if not self.fresh:
            self.inner, self.inner_ids, self.inner_end, self.fresh = [], [], _end(note), True
        self.inner.append(note.spelling.semitones)
        self.inner_ids.append(note.led.id)
        self.inner_end = min(self.inner_end, _end(note))
        return _given(note, self.inner_voice, self.inner_part)


class _Hands:
    """Gives the notes of each moment to two hands, knowing what they still hold. ``cuts`` says when inner notes must
    end before their time."""

    def __init__(self, fullness: Fullness) -> None:
        self.cuts: dict[str, Ticks] = {}
        self._fullness = fullness
        self._right = _Hand(_UPPER, Part.UPPER, _ALTO, Part.ALTO)
        self._left = _Hand(_BASS, Part.BASS, _TENOR, Part.TENOR)

    def chord(self, notes: list[VoicedNote]) -> list[VoicedNote]:
        """The notes that begin together, each given its voice, or left out."""
        onset = notes[0].led.onset
        upper = _once([note for note in notes if note.led.part is Part.UPPER])
        bass = _once([note for note in notes if note.led.part is Part.BASS])
        outer: list[VoicedNote] = []
        for hand in (self._right, self._left):
            hand.at(onset)
        if self._fullness is Fullness.SKETCH and not upper and self._right.outer is None:
            upper = _highest_above(notes, bass)
        for hand, line, outermost in ((self._right, upper, max), (self._left, bass, min)):
            if line:
                note = outermost(line, key=lambda note: note.spelling.semitones)
                ended = hand.strike(note)
                if self._fullness is Fullness.PLAYABLE:
                    self.cuts.update(dict.fromkeys(ended, onset))
                outer.append(_given(note, hand.outer_voice, hand.outer_part))
        if self._fullness is Fullness.SKETCH:
            return outer
        struck = {note.led.id for note in outer}
        sounding = {note.spelling.semitones for note in outer}
        inner = _once([note for note in notes if note.led.id not in struck])
        inner = [note for note in inner if note.spelling.semitones not in sounding]
        inner.sort(key=lambda note: -note.spelling.semitones)
        if not bass and inner:
            inner = [inner[-1], *inner[:-1]]  # what sounds lowest goes before what would take its hand away
        return outer + self._inner(inner, outer)

    def _inner(self, inner: list[VoicedNote], outer: list[VoicedNote]) -> list[VoicedNote]:
        """Inner notes in this order: to the hand on whose staff they lie, else to the other."""
        made: list[VoicedNote] = []
        for note in inner:
            pitch = note.spelling.semitones
            near, far = (self._left, self._right) if pitch < _LOW else (self._right, self._left)
            hand = next((hand for hand in (near, far) if _within_reach([*hand.held, pitch])), None)
            if hand is not None:
                made.append(hand.add(note))
            elif self._fullness is Fullness.FULL:
                made.append(self._left.add(note))
            elif pitch % 12 not in {kept.spelling.semitones % 12 for kept in (*outer, *made)}:
                moved = _moved_into(self._right.held, note)
                if moved is not None:
                    made.append(self._right.add(moved))
        return made


def _highest_above(notes: list[VoicedNote], bass: list[VoicedNote]) -> list[VoicedNote]:
    """The highest of the notes that begin together, if it lies above the bass among them: the melody of a sketch where
    no line is read as the upper one."""
    highest = max(notes, key=lambda note: note.spelling.semitones)
    above = all(note.spelling.semitones < highest.spelling.semitones for note in bass)
    return [highest] if above else []


def _within_reach(together: list[int]) -> bool:
    return len(together) <= _PARTS_A_HAND and max(together) - min(together) <= _REACH


def _moved_into(right: list[int], note: VoicedNote) -> VoicedNote | None:
    """The note one or two octaves higher, below the right hand's top and within reach; None without room."""
    if not right or len(right) >= _PARTS_A_HAND:
        return None
    pitch = note.spelling
    for octaves in (1, 2):
        higher = SpelledPitch(pitch.step, pitch.alter, pitch.octave + octaves)
        if higher.semitones < max(right) and max(right) - higher.semitones <= _REACH:
            # its octave is the arranger's now, whatever its line meant
            return replace(note, led=replace(note.led, restored=None), spelling=higher)
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


#: The outer voice of the hand of each inner voice.
_HOMES = {_ALTO: (_UPPER, Part.UPPER), _TENOR: (_BASS, Part.BASS)}


def _joined(notes: list[VoicedNote]) -> list[VoicedNote]:
    """Inner notes that begin and end with the outer voice of their hand stand on its stem; those that sound while it
    is silent take its place, so that no rest stands above or below them."""
    outer = {(note.led.voice, note.led.onset): note.led.length for note in notes if note.led.voice in (_UPPER, _BASS)}
    moments = {voice: sorted(onset for other, onset in outer if other == voice) for voice in (_UPPER, _BASS)}
    made = []
    for note in notes:
        home = _HOMES.get(note.led.voice)
        if home is None:
            made.append(note)
            continue
        joins = outer.get((home[0], note.led.onset)) == note.led.length
        moves = joins or _silent(outer, moments[home[0]], home[0], note)
        made.append(_given(note, *home) if moves else note)
    return made


def _silent(outer: dict[tuple[int, Ticks], Ticks], moments: list[Ticks], voice: int, note: VoicedNote) -> bool:
    """Whether the outer voice has nothing while the note sounds."""
    at = bisect_right(moments, note.led.onset)
    if at < len(moments) and moments[at] < _end(note):
        return False
    return at == 0 or moments[at - 1] + outer[voice, moments[at - 1]] <= note.led.onset


def _as_meant(note: VoicedNote) -> VoicedNote:
    meant = note.meant
    return note if meant is note.spelling else replace(note, spelling=meant)


def _given(note: VoicedNote, voice: int, part: Part) -> VoicedNote:
    if note.led.voice == voice and note.led.part is part:
        return note
    return replace(note, led=replace(note.led, voice=voice, part=part))


def _lasting(note: VoicedNote, length: Ticks) -> VoicedNote:
    return note if note.led.length == length else replace(note, led=replace(note.led, length=length))


def _ended(note: VoicedNote, cuts: dict[str, Ticks]) -> VoicedNote:
    """The note, ending where the hand must let go of it."""
    cut = cuts.get(note.led.id)
    return note if cut is None else _lasting(note, min(note.led.length, cut - note.led.onset))


def _end(note: VoicedNote) -> Ticks:
    return note.led.onset + note.led.length
