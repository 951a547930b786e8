"""A piece moved, from what is read of it to the new text; and the proof that it sounds as it should."""

from __future__ import annotations

from functools import cache

from pipeline.desk.move.pins import as_meant
from pipeline.desk.move.record import NOWHERE, Asked, Chord, Moved, Placed, There, Tunings
from pipeline.desk.move.rewrite.losses import Losses
from pipeline.desk.move.rewrite.piece import Plan, rewritten
from pipeline.desk.move.scale import tuned
from pipeline.desk.move.search import placed
from pipeline.desk.move.search.neck import Neck
from pipeline.desk.move.tasks import chords_of, keys_of, stretches
from pipeline.edition.transpose import signatures_of
from pipeline.findings.settling import in_order
from pipeline.model.interval import UNISON, fitted
from pipeline.model.record import replace
from pipeline.model.song import Song
from pipeline.model.sounding import SoundingPiece
from pipeline.model.text import SourceText
from pipeline.model.voiced import LedPiece
from pipeline.source.encoding import write_encoding
from pipeline.source.read import song_of, sounding_piece


def move(led: LedPiece, asked: Asked, name: str, there: There = NOWHERE) -> Moved:
    """The piece in the key and on the instrument asked for. It must be without errors.

    ``name`` is what the moved text calls its source, ``there`` what holds where it is to lie. The interval is spelled
    so that the signatures need the fewest accidentals. Raises AssertionError if the new text would not sound as it
    should: a fault of the program.
    """
    piece = led.sounding
    asked = replace(asked, interval=fitted(asked.interval, signatures_of(piece)))
    chords = chords_of(led, asked)
    before, numbers = stretches(piece)
    tunings = tuned(before, keys_of(piece), chords, asked)
    heading = piece.heading if not asked.changes(piece.heading.instrument) else replace(piece.heading, strings=None)
    necks = tuple(Neck(heading, instrument) for instrument in tunings.after)
    found = placed(chords, necks)
    losses = Losses()
    plan = Plan(asked, tunings, necks, numbers, found, chords, _origin(piece, asked, name), there)
    moved = rewritten(piece, plan, losses)
    read = cache(lambda text: _read(name, text, there))  # where no pin was needed it is one text
    moved = as_meant(moved, piece, chords, found, tunings, read)
    text = write_encoding(moved)
    again, _ = read(text)
    _prove(again, chords, found, tunings)
    return Moved(text, in_order(tuple(losses.found)), tunings, asked.interval)


def _read(name: str, text: str, there: There) -> tuple[SoundingPiece, Song]:
    piece = sounding_piece(SourceText.of(name, text), there.headings).value
    return piece, song_of(piece, there.files).value


def _origin(piece: SoundingPiece, asked: Asked, name: str) -> str:
    """A remark on where the piece comes from, for the page."""
    what = [asked.interval.words] if asked.interval != UNISON else []
    if asked.preset is not None and asked.changes(piece.heading.instrument):
        what.append(f"from {piece.heading.instrument.name} to {asked.preset.name}")
    file = name.rpartition("/")[2]
    if not what:
        return f"From {file}, in {(asked.signs or piece.heading.signs).value} signs."
    said = f"Moved from {file}: {', '.join(what)}. The fingering is not the source's."
    if asked.interval == UNISON or asked.letters is None:
        return said
    return f"{said} The chord letters are moved as {asked.letters.words}."


def _prove(again: SoundingPiece, chords: tuple[Chord, ...], found: Placed, tunings: Tunings) -> None:
    """Compare what the new text, read again, strikes with what was placed."""
    struck: dict[str, list[int]] = {}
    for bar in again.bars:
        for event in bar.events if bar.bar.ditto is None else ():
            if not event.repeated:
                struck[event.id] = sorted(stop.pitch for stop in event.stops if not stop.held)
    for chord in chords:
        courses = tunings.after[chord.tuning].courses
        places = [place for tone in chord.tones if (place := found.places[id(tone.stop)]) is not None]
        wanted = sorted(courses[course - 1].pitch.semitones + fret for course, fret in places)
        if struck.pop(chord.event, []) != wanted:
            raise AssertionError(f"{chord.event} of the moved text does not sound as placed")
    if any(struck.values()):
        raise AssertionError(f"{next(name for name in struck if struck[name])} of the moved text was not placed")
