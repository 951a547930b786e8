"""Real and composed tablature that the moving is measured on, as chords to be placed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from pipeline.desk.move.record import Asked, Chord, Placed, Tunings
from pipeline.desk.move.scale import tuned
from pipeline.desk.move.search import placed
from pipeline.desk.move.search.costs import COSTS, Costs
from pipeline.desk.move.search.neck import Neck
from pipeline.desk.move.tasks import chords_of, keys_of, stretches
from pipeline.edition.leading import led
from pipeline.folder.files import discover, read_texts
from pipeline.model.interval import UNISON, Interval
from pipeline.model.record import replace
from pipeline.model.voiced import LedPiece
from pipeline.source.read import read_piece

ROOT = Path(__file__).parents[3]
ANTHOLOGY = ROOT / "fixtures" / "anthology"


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece as read, by the name of its file; its chords as they stand."""

    name: str
    led: LedPiece
    chords: tuple[Chord, ...]
    tunings: Tunings

    necks: tuple[Neck, ...]


def pieces(paths: Iterable[Path], interval: Interval = UNISON) -> list[Piece]:
    """Every piece under the paths, to be moved by an interval on its own instrument."""
    found = []
    for file in discover(paths):
        texts = read_texts(file)
        read = read_piece(texts.text.source, texts.inherited)
        reading = led(read.sounding, read.song).value
        asked = Asked(interval)
        chords = chords_of(reading, asked)
        before, _ = stretches(read.sounding)
        tunings = tuned(before, keys_of(read.sounding), chords, asked)
        necks = tuple(Neck(read.sounding.heading, instrument) for instrument in tunings.after)
        found.append(Piece(file.path.stem, reading, chords, tunings, necks))
    return found


def given(piece: Piece) -> tuple[Chord, ...]:
    """The chords with the source's own places given."""
    return tuple(
        replace(chord, tones=tuple(replace(tone, kept=(tone.course, tone.fret)) for tone in chord.tones))
        for chord in piece.chords
    )


def by_pitch_alone(chord: Chord) -> Chord:
    """The chord without what the source's fingering tells: its tones as if each stood on a course by its pitch."""
    order = sorted(range(len(chord.tones)), key=lambda place: chord.tones[place].sounds)
    tones = tuple(
        replace(chord.tones[place], course=1000 - chord.tones[place].sounds, open_bass=None, slurred=False,
                beyond=False, bass=number == 0)
        for number, place in enumerate(order)
    )  # fmt: skip
    return replace(chord, tones=tones, held=(), again=None)


def agreement(piece: Piece, costs: Costs = COSTS, *, blind: bool = False) -> tuple[int, int]:
    """How many stops fall on the source's own course and fret, of how many."""
    if not blind:
        return own(piece, placed(piece.chords, piece.necks, costs))
    chords = tuple(by_pitch_alone(chord) for chord in piece.chords)
    return own(piece, placed(chords, piece.necks, replace(costs, rejoined=0.0)))


def own(piece: Piece, found: Placed) -> tuple[int, int]:
    tones = [tone for chord in piece.chords for tone in chord.tones]
    return sum(found.places[id(tone.stop)] == (tone.course, tone.fret) for tone in tones), len(tones)


def nearest(piece: Piece) -> Placed:
    """The plainest rule: each note, from the lowest, on the free course where its pitch lies nearest to the nut."""
    places: dict[int, tuple[int, int] | None] = {}
    necks = piece.necks
    for chord in piece.chords:
        taken: set[int] = set()
        for tone in sorted(chord.tones, key=lambda tone: tone.sounds):
            free = [place for place in necks[chord.tuning].places.get(tone.sounds, ()) if place[0] not in taken]
            place = min(free, key=lambda place: (place[1], place[0]), default=None)
            places[id(tone.stop)] = place
            if place is not None:
                taken.add(place[0])
    return Placed(places, {})


def shifted(piece: Piece, semitones: int) -> Placed:
    """Every note so many frets up or down its course, within the tied frets; a diapason not at all."""
    places: dict[int, tuple[int, int] | None] = {}
    for chord in piece.chords:
        instrument = piece.tunings.after[chord.tuning]
        for tone in chord.tones:
            fret = tone.fret + semitones
            there = 0 <= fret <= instrument.tied_frets if tone.course <= instrument.stopped else fret == 0
            places[id(tone.stop)] = (tone.course, fret) if there else None
    return Placed(places, {})


def kept(piece: Piece, found: Placed) -> tuple[int, int, int, int]:
    """How many stops sound in their octave, of how many; how many chords a hand can play whole, of how many."""
    stops = exact = whole = 0
    for chord in piece.chords:
        neck = piece.necks[chord.tuning]
        places = [found.places[id(tone.stop)] for tone in chord.tones]
        stops += len(places)
        exact += sum(
            place is not None and neck.at(place) in (tone.sounds, tone.meant)
            for tone, place in zip(chord.tones, places, strict=True)
        )
        there = tuple(place for place in places if place is not None)
        frets = [fret for _, fret in there if fret]
        reached = not frets or neck.reaches(min(frets), max(frets))
        whole += len(there) == len(places) and reached and neck.enough_fingers(there, barre=chord.barre)
    return exact, stops, whole, len(piece.chords)
