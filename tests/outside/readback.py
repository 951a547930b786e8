"""What independent readers make of our MusicXML, in one form for comparing.

Each function gives a Counter of :data:`Heard`: onset and length as fractions of a whole note, MIDI pitch, voice and
staff; tied notes are joined into one. The readers are the libraries music21 and partitura.
"""

from __future__ import annotations

import io
import warnings
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

import music21
import partitura
from lxml import etree

from pipeline.model.score import Score
from pipeline.model.time import ticks_to_fraction

#: onset, length, MIDI pitch, voice, staff. Voice 0: the reader does not say, because the bar has only one.
Heard = tuple[Fraction, Fraction, int, int, int]

_EVENTS = {"e": "urn:longneck:events:1"}


def as_music21_places(score: Score) -> Counter[Heard]:
    """What the score holds, as music21 places it: it keeps a chord that stands on both staves together, on the staff of
    its lowest note. (partitura keeps the staff of each note.)"""
    return written(score, chords_whole=True)


def written(score: Score, *, chords_whole: bool = False) -> Counter[Heard]:
    """What the score holds: each sound at its first head, its tied heads added up."""
    first: dict[str, Heard] = {}
    for measure in score.measures:
        for layer in measure.layers:
            for event in layer.events:
                onset, length = ticks_to_fraction(event.onset), ticks_to_fraction(event.ticks)
                for head in event.heads:
                    known = first.get(head.stop)
                    if known is None:
                        staff = event.heads[0].staff if chords_whole else head.staff
                        first[head.stop] = (onset, length, head.pitch.semitones, layer.voice, staff)
                    else:
                        first[head.stop] = (known[0], known[1] + length, *known[2:])
    return Counter(first.values())


def tablature_written(score: Score) -> Counter[tuple[Fraction, Fraction, int]]:
    """Onset, length and pitch of every figure of the score that has a pitch."""
    return Counter(
        (ticks_to_fraction(event.onset), ticks_to_fraction(event.ticks), figure.pitch.semitones)
        for measure in score.measures
        for event in measure.tab
        for figure in event.figures
        if figure.pitch is not None
    )


def written_heads(score: Score) -> Counter[Heard]:
    """The heads of the score one by one, ties not joined."""
    return Counter(
        (
            ticks_to_fraction(event.onset),
            ticks_to_fraction(event.ticks),
            head.pitch.semitones,
            layer.voice,
            head.staff,
        )
        for measure in score.measures
        for layer in measure.layers
        for event in layer.events
        for head in event.heads
    )


def from_events(document: bytes) -> Counter[Heard]:
    """What the events document says was read: the naming string of each stop; staff 0 if it names none."""
    root = etree.fromstring(document)
    heard: Counter[Heard] = Counter()
    for reading in root.iterfind(".//e:reading", _EVENTS):
        string = reading.getparent().find("e:string", _EVENTS)
        onset, length = Fraction(reading.get("onset")), Fraction(reading.get("length"))
        heard[
            (onset, length, int(string.get("semitones")), int(reading.get("voice")), int(reading.get("staff", "0")))
        ] += 1
    return heard


def heard_by_music21(document: bytes) -> Counter[Heard]:
    """The two staves as music21 reads them."""
    pieces: list[_Piece] = []
    staves = [part for part in parts_by_music21(document) if isinstance(part, music21.stream.PartStaff)]
    for staff, part in enumerate(staves, start=1):
        for measure in part.getElementsByClass(music21.stream.Measure):
            start = _fraction(measure.offset)
            holders = list(measure.voices) or [measure]
            for holder in holders:
                voice = int(holder.id) if isinstance(holder, music21.stream.Voice) else 0
                for element in holder.notes:
                    if not isinstance(element, music21.harmony.ChordSymbol) and not element.duration.isGrace:
                        onset = start + _fraction(element.offset)
                        pieces.extend(_pieces(element, onset, voice, staff))
    return _joined(pieces)


def tablature_by_music21(document: bytes) -> Counter[tuple[Fraction, Fraction, int]]:
    """Onset, length and pitch of every figure that has a pitch, as music21 reads the tablature part."""
    heard: Counter[tuple[Fraction, Fraction, int]] = Counter()
    part = parts_by_music21(document)[0]
    for element in part.recurse().notes:
        onset = _fraction(element.getOffsetInHierarchy(part))
        for pitch in element.pitches:
            heard[(onset, _fraction(element.duration.quarterLength), pitch.midi)] += 1
    return heard


def heard_by_partitura(document: bytes) -> Counter[Heard]:
    """The two staves as partitura reads them.

    It knows one tie of each pitch at a time, so where two voices tie a unison over the same place it loses one:
    compare :func:`heads_by_partitura` there.
    """
    part = partitura_part(document, "staves")
    return Counter(_note(part, note, note.duration_tied) for note in part.notes_tied if not _small(note))


def heads_by_partitura(document: bytes) -> Counter[Heard]:
    """The heads as partitura reads them, ties not joined."""
    part = partitura_part(document, "staves")
    return Counter(_note(part, note, note.duration) for note in part.notes if not _small(note))


def _small(note: partitura.score.Note) -> bool:
    """Small notes have no time of their own: ``tests/edition/test_written_out.py`` reads them."""
    return isinstance(note, partitura.score.GraceNote)


def _note(part: partitura.score.Part, note: partitura.score.Note, duration: int) -> Heard:
    whole = 4 * int(part.quarter_duration_map(note.start.t))
    return Fraction(note.start.t, whole), Fraction(duration, whole), note.midi_pitch, note.voice, note.staff


def differences(ours: Counter[Heard], theirs: Counter[Heard], *, staves: bool = True) -> list[str]:
    """What the one has and the other has not, in words; empty if they agree. Voice 0 agrees with any voice.

    ``staves=False`` compares without the staff.
    """
    if not staves:
        ours, theirs = _without_staff(ours), _without_staff(theirs)
    missing, extra = ours - theirs, theirs - ours
    for note in [note for note in extra.elements() if note[3] == 0]:
        match = next((other for other in missing if other[:3] + other[4:] == note[:3] + note[4:]), None)
        if match is not None:
            missing -= Counter([match])
            extra -= Counter([note])
    return [f"not heard: {_show(note)}" for note in sorted(missing.elements())] + [
        f"not written: {_show(note)}" for note in sorted(extra.elements())
    ]


def _without_staff(notes: Counter[Heard]) -> Counter[Heard]:
    bare: Counter[Heard] = Counter()
    for note, count in notes.items():
        bare[(*note[:4], 0)] += count
    return bare


def _show(note: Heard) -> str:
    onset, length, midi, voice, staff = note
    return f"{music21.pitch.Pitch(midi=midi)} at {onset} for {length}, voice {voice}, staff {staff}"


# --- music21 -----------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Piece:
    """One notehead as a reader sees it."""

    onset: Fraction
    length: Fraction
    midi: int
    voice: int
    staff: int
    tied_to: bool
    tied_from: bool


def parts_by_music21(document: bytes) -> list[music21.stream.Part]:
    """Tablature, upper staff, lower staff; in a singer's copy sung lines above and below the two."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        score = music21.converter.parseData(document, format="musicxml")
    return list(score.parts)


def _fraction(quarters: float | Fraction) -> Fraction:
    return Fraction(quarters).limit_denominator(100_000) / 4


def _pieces(element: music21.note.GeneralNote, onset: Fraction, voice: int, staff: int) -> Iterable[_Piece]:
    length = _fraction(element.duration.quarterLength)
    notes = element.notes if isinstance(element, music21.chord.Chord) else [element]
    for note in notes:
        tie = note.tie.type if note.tie is not None else ""
        tied_to, tied_from = tie in {"stop", "continue"}, tie in {"start", "continue"}
        yield _Piece(onset, length, note.pitch.midi, voice, staff, tied_to, tied_from)


def _joined(pieces: list[_Piece]) -> Counter[Heard]:
    """Tied heads of one pitch joined where the one ends and the other begins, in the same voice if it is known."""
    done: list[_Piece] = []
    waiting: dict[tuple[int, Fraction], list[_Piece]] = {}
    for piece in sorted(pieces, key=lambda piece: piece.onset):
        open_ = waiting.get((piece.midi, piece.onset), [])
        before = next((one for one in open_ if piece.voice in {one.voice, 0} or one.voice == 0), None)
        if piece.tied_to and before is not None:
            open_.remove(before)
            before.length += piece.length
            before.voice = before.voice or piece.voice
        else:
            before = piece
            done.append(piece)
        if piece.tied_from:
            waiting.setdefault((piece.midi, before.onset + before.length), []).append(before)
    return Counter((piece.onset, piece.length, piece.midi, piece.voice, piece.staff) for piece in done)


# --- partitura ---------------------------------------------------------------------------------------------


def partitura_part(document: bytes, part_id: str) -> partitura.score.Part:
    """One part by its id."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        score = partitura.load_musicxml(io.BytesIO(document), force_note_ids="keep", quiet=True)
    return next(part for part in score.parts if part.id == part_id)
