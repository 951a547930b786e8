"""Spell: the name of every sounding pitch, from the declared key or the context."""

from __future__ import annotations

from functools import lru_cache

from pipeline.edition.spelling import spell as names_of
from pipeline.model.pitch import SpelledPitch, from_fifths
from pipeline.model.sounding import SoundingPiece, SoundingStop
from pipeline.model.voiced import LedPiece, VoicedNote, VoicedPiece

_named = lru_cache(maxsize=4096)(from_fifths)


def spell(led: LedPiece) -> VoicedPiece:
    """Name every note. Open strings keep the name that the tuning declares."""
    key = led.sounding.heading.key
    declared = None if key is None else key.fifths
    notes = led.notes
    if not notes:
        return VoicedPiece(led, (), declared or 0, key is None)
    spelling = names_of(
        [note.onset for note in notes],
        [note.stop.pitch for note in notes],
        declared,
        [_declared_name(note.stop) for note in notes],
    )
    named = tuple(
        VoicedNote(note, _pitch(note.stop, fifths)) for note, fifths in zip(notes, spelling.fifths, strict=True)
    )
    return VoicedPiece(led, named, spelling.signature, key is None)


def _declared_name(stop: SoundingStop) -> int | None:
    return stop.open_string.fifths if stop.fret == 0 else None


def _pitch(stop: SoundingStop, fifths: int) -> SpelledPitch:
    return _named(int(fifths), stop.pitch)


def spelled_as_sounding(piece: SoundingPiece) -> dict[str, SpelledPitch]:
    """The name of every stop that is struck, by its id, before any voice is read: as :func:`spell`, but for notes whose
    neighbours in time the reading orders otherwise."""
    key = piece.heading.key
    struck = [(event.onset, stop) for bar in piece.bars for event in bar.events for stop in event.stops]
    struck.sort(key=lambda one: (one[0], -one[1].pitch, one[1].course))
    if not struck:
        return {}
    spelling = names_of(
        [onset for onset, _ in struck],
        [stop.pitch for _, stop in struck],
        None if key is None else key.fifths,
        [_declared_name(stop) for _, stop in struck],
    )
    return {stop.id: _pitch(stop, fifths) for (_, stop), fifths in zip(struck, spelling.fifths, strict=True)}
