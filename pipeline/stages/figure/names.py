"""Names of chords, as music21 gives them."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from pipeline.model.pitch import SpelledPitch


def chord_name(pitches: Sequence[SpelledPitch]) -> str:
    """The chord as a symbol (``Dm7``, ``G/B``); empty if it has no name, as a single note has none. The lowest pitch
    is its bass."""
    return _named(tuple(sorted(set(pitches), key=lambda pitch: (pitch.semitones, pitch.diatonic))))


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
