"""Transpose what is written: spellings, signatures, keys, figures. What sounds on the instrument stays.

For a copy from which the tablature is left out. After it the spelling of a note no longer names what its stop
sounds: the two differ by the interval, everywhere.
"""

from __future__ import annotations

import re

from pipeline.model.heading import Key
from pipeline.model.interval import Interval
from pipeline.model.pitch import FIFTHS, STEPS, SpelledPitch
from pipeline.model.record import replace
from pipeline.model.song import Song, SungLine, SungNote
from pipeline.model.sounding import SoundingPiece
from pipeline.model.voiced import VoicedPiece

#: No signature can have more.
_MOST = 7
_ALTERS = {"#": 1, "b": -1, "n": 0}
_FIGURE = re.compile(r"([#bn]?)([1-9][0-9]?)?")
_THIRD = "3"


def signatures(voiced: VoicedPiece, song: Song | None = None) -> frozenset[int]:
    """Every key signature that stands in a piece and its layers, in fifths."""
    lines = {line.fifths for line in song.lines} if song is not None else set()
    return frozenset({voiced.fifths, *_declared(voiced.sounding), *lines})


def signatures_of(piece: SoundingPiece) -> frozenset[int]:
    """Every key signature that a piece declares, for itself and for its layers, in fifths."""
    return frozenset({*_declared(piece), *(layer.fifths for layer in piece.heading.layers)})


def _declared(piece: SoundingPiece) -> set[int]:
    return {bar.key.fifths for bar in piece.bars if bar.key is not None}


def transposed(voiced: VoicedPiece, interval: Interval) -> VoicedPiece:
    """The piece with every note, signature and key moved; ids, stops, times, voices stay. Linear time."""
    sounding = voiced.led.sounding
    heading = replace(sounding.heading, key=transposed_key(sounding.heading.key, interval))
    bars = tuple(replace(bar, key=transposed_key(bar.key, interval)) for bar in sounding.bars)
    moved = {pitch: interval.of(pitch) for pitch in {note.spelling for note in voiced.notes}}
    return replace(
        voiced,
        led=replace(voiced.led, sounding=replace(sounding, heading=heading, bars=bars)),
        notes=tuple(replace(note, spelling=moved[note.spelling]) for note in voiced.notes),
        fifths=transposed_signature(voiced.fifths, interval),
    )


def transposed_song(song: Song, interval: Interval) -> Song:
    """Every line with its notes, signature and figures moved; words, times and ids stay.

    Chord letters are left out: as printed they may name shapes for the hand, which would be wrong in a new key.
    """
    return replace(song, lines=tuple(_line(line, interval) for line in song.lines), chords=())


def transposed_key(key: Key | None, interval: Interval) -> Key | None:
    """A declared key moved; its mode stays."""
    if key is None:
        return None
    letter, accidentals = key.tonic[0], key.tonic[1:]
    alter = accidentals.count("#") - accidentals.count("b")
    tonic = interval.of(SpelledPitch(letter, alter, 4))
    name = f"{tonic.step}{'#' * tonic.alter}{'b' * -tonic.alter}"
    return Key(name, key.mode, transposed_signature(key.fifths, interval))


def transposed_signature(fifths: int, interval: Interval) -> int:
    """A signature moved. One beyond seven accidentals is cut there; the notes then carry what it lacks."""
    return max(-_MOST, min(_MOST, fifths + interval.fifths))


def _line(line: SungLine, interval: Interval) -> SungLine:
    notes = tuple(_note(note, interval, line.fifths) for note in line.notes)
    return replace(line, fifths=transposed_signature(line.fifths, interval), notes=notes)


def _note(note: SungNote, interval: Interval, fifths: int) -> SungNote:
    if note.pitch is None:
        return note
    figures = tuple(
        replace(figure, rows=transposed_rows(figure.rows, note.pitch, interval, fifths)) for figure in note.figures
    )
    return replace(note, pitch=interval.of(note.pitch), figures=figures)


def transposed_rows(figures: tuple[str, ...], bass: SpelledPitch, interval: Interval, fifths: int) -> tuple[str, ...]:
    """A column of figures of a bass that moves by ``interval``; ``bass`` and ``fifths`` as they were.

    Only those with an accidental change: D with # (F sharp), a minor third up, is F with n (A natural).
    """
    rows: list[str] = []
    for row in figures:
        match = _FIGURE.fullmatch(row)
        if match is None or not match[1]:
            rows.append(row)
            continue
        number = match[2] or _THIRD
        above = _above(bass, number)
        alter = _figured(match[1], _intransposed_signature(above, fifths))
        note = interval.of(SpelledPitch(above, alter, 4))
        rows.append(f"{_accidental(note.alter)}{match[2] or ''}")
    return tuple(rows)


def _above(bass: SpelledPitch, number: str) -> str:
    return STEPS[(STEPS.index(bass.step) + int(number) - 1) % 7]


def _intransposed_signature(letter: str, fifths: int) -> int:
    """How a signature alters a letter."""
    return (fifths - FIFTHS[letter] + 5) // 7


def _figured(sign: str, plain: int) -> int:
    """What an accidental in a figure means: # on a note that the signature flattens raises it to natural, and b on a
    sharpened one lowers it to natural, as was the custom before the natural sign. Source: common practice."""
    alter = _ALTERS[sign]
    return 0 if alter * plain < 0 else alter


def _accidental(alter: int) -> str:
    """The sign of an alteration, in modern use: a raised flat and a lowered sharp are ``n``."""
    return "#" * alter or "b" * -alter or "n"
