"""Clefs of a copy that is moved far: chosen anew, so that no ledger lines pile up.

Two ledger lines are played at sight, one is sung; each one beyond costs more than the one before. The usual clefs stay
unless others are clearly plainer. Common practice, no source; the figures are this project's own.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeVar

from pipeline.model.pitch import SEMITONES, STEPS, SpelledPitch
from pipeline.model.record import replace
from pipeline.model.score import USUAL_CLEFS, Clef, VocalStaff
from pipeline.model.song import SungLine
from pipeline.model.voiced import Part, VoicedPiece

T = TypeVar("T")
#: So many ledger lines cost nothing: to a player, to a singer.
_PLAYED, _SUNG = 2, 1
#: The usual clefs stay up to this cost a note; others must cost less than this share of theirs.
_ENDURED, _PLAINER = 0.1, 0.6
#: Staff places of the lowest line of each clef without an octave sign.
_LOWEST_LINES = {"G2": 30, "F4": 18}
_TREBLE, _BASS = USUAL_CLEFS
_PAIRS = (
    USUAL_CLEFS,
    (_BASS, _BASS),
    (_BASS, Clef("F4", -1)),
    (_TREBLE, Clef("F4", -1)),
    (_TREBLE, _TREBLE),
    (Clef("G2", 1), _TREBLE),
    (Clef("G2", 1), _BASS),
)
_OF_VOICES = (_TREBLE, Clef("G2", -1), _BASS)
_OF_BASSES = (_BASS, Clef("F4", -1))


def lowest_line(clef: Clef) -> int:
    """The staff place of its lowest line."""
    return _LOWEST_LINES[clef.sign] + 7 * clef.octaves


def limits(clefs: tuple[Clef, Clef]) -> tuple[int, int]:
    """In semitones: below the first the upper staff needs a third ledger line; from the second on the lower staff
    needs a second one."""
    return _natural(lowest_line(clefs[0]) - 5), _natural(lowest_line(clefs[1]) + 12)


def pair_of(reduced: VoicedPiece) -> tuple[Clef, Clef]:
    """The clefs of the two staves of a reduction."""
    notes = [(note.led.part in (Part.UPPER, Part.ALTO), note.spelling) for note in reduced.notes]

    def cost(clefs: tuple[Clef, Clef]) -> int:
        low, _ = limits(clefs)
        return sum(_cost(pitch, clefs[0 if upper and pitch.semitones >= low else 1]) for upper, pitch in notes)

    return _plainest(_PAIRS, [cost(clefs) for clefs in _PAIRS], len(notes))


def of_voice(staff: VocalStaff, line: SungLine) -> VocalStaff:
    """The staff of a voice or bass with the clef that suits its notes where they stand now."""
    pitches = [note.pitch for note in line.notes if note.pitch is not None]
    usual = Clef(staff.clef, -1 if staff.octave_down else 0)
    choices = (usual, *(clef for clef in (_OF_BASSES if line.bass else _OF_VOICES) if clef != usual))
    free = _PLAYED if line.bass else _SUNG
    chosen = _plainest(choices, [sum(_cost(pitch, clef, free) for pitch in pitches) for clef in choices], len(pitches))
    return replace(staff, clef=chosen.sign, octave_down=chosen.octaves < 0)


def _plainest(choices: Sequence[T], costs: Sequence[int], notes: int) -> T:
    best = min(range(len(choices)), key=lambda at: (costs[at], at))
    return choices[best] if costs[0] > _ENDURED * notes and costs[best] < _PLAINER * costs[0] else choices[0]


def _cost(pitch: SpelledPitch, clef: Clef, free: int = _PLAYED) -> int:
    bottom = lowest_line(clef)
    lines = max(bottom - pitch.diatonic, pitch.diatonic - bottom - 8, 0) // 2
    beyond = max(0, lines - free)
    return beyond * (beyond + 1) // 2


def _natural(place: int) -> int:
    """The semitone of a staff place without accidental."""
    octave, step = divmod(place, 7)
    return 12 * (octave + 1) + SEMITONES[STEPS[step]]
