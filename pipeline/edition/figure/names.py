"""Names of chords, as music21 gives them."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from pipeline.model.pitch import STEPS, SpelledPitch, in_signature

#: What music21 calls some chords, and no player at sight; their figures say more.
_NO_NAMES = ("power", "pedal", "N6", "It+6", "Fr+6", "Gr+6", "tristan")
_SHORTER = ("dom7dim5", "7b5")


def chord_name(pitches: Sequence[SpelledPitch]) -> str:
    """The chord as a symbol (``Dm7``, ``G/B``); empty if it has no name, as a single note has none. The lowest pitch
    is its bass."""
    return _named(tuple(sorted(set(pitches), key=lambda pitch: (pitch.semitones, pitch.diatonic))))


def harmony_name(pitches: Sequence[SpelledPitch], fifths: int) -> str:
    """The name of the chord over the bass ``pitches[0]`` as a player at the keyboard wants it: a third without its
    fifth, or a sixth without its third, is completed as continuo players do (from the key,
    ``fifths`` sharps or, negative, flats); what is added to a chord is left to
    the figures. Common practice, no source."""
    chord, slash, bass = chord_name(_completed(pitches, fifths)).partition("add")[0].partition("/")
    if chord.endswith(_NO_NAMES):
        return ""
    return f"{chord.replace(*_SHORTER)}{slash}{bass}"


def _completed(pitches: Sequence[SpelledPitch], fifths: int) -> list[SpelledPitch]:
    bass = pitches[0]
    steps = {(pitch.diatonic - bass.diatonic) % 7 for pitch in pitches[1:]} - {0}
    missing = {frozenset({2}): 4, frozenset({5}): 2, frozenset({2, 6}): 4}.get(frozenset(steps))
    if missing is None:
        return list(pitches)
    octave, step = divmod(bass.diatonic + 7 + missing, 7)
    letter = STEPS[step]
    return [*pitches, SpelledPitch(letter, in_signature(letter, fifths), octave)]


@lru_cache(maxsize=1 << 12)
def _named(pitches: tuple[SpelledPitch, ...]) -> str:
    if len({pitch.semitones % 12 for pitch in pitches}) < 2:
        return ""
    # Imported late: music21 takes longer to load than a piece takes to make, and few ask for names.
    from music21 import chord, harmony, pitch  # noqa: PLC0415

    spelled = [pitch.Pitch(each.name.replace("b", "-")) for each in pitches]
    figure = harmony.chordSymbolFigureFromChord(chord.Chord(spelled))
    if not isinstance(figure, str) or figure == "Chord Symbol Cannot Be Identified":
        return ""
    return figure.replace("-", "b")
