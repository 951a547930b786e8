"""Which footnotes belong under which system."""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.model.parts import whole_id
from pipeline.model.score import Footnote, Measure, Score
from pipeline.writers.engrave.drawing import System


def notes_by_system(score: Score, systems: Sequence[System]) -> list[list[Footnote]]:
    """The notes of each system, in order: those of its measures; of a measure that is set in parts on several
    systems, those whose letter stands in the part."""
    by_measure: dict[str, list[Footnote]] = {}
    for note in score.footnotes:
        by_measure.setdefault(note.measure, []).append(note)
    notes: list[list[Footnote]] = [[] for _ in systems]
    if not by_measure:
        return notes
    measures = {measure.id: measure for measure in score.measures}
    for name, places in _places(systems).items():
        for note in by_measure.get(name, ()):
            notes[_place_of(note, measures.get(name), systems, places)].append(note)
    return notes


def _places(systems: Sequence[System]) -> dict[str, list[int]]:
    """Measure → the systems on which it stands."""
    places: dict[str, list[int]] = {}
    for place, system in enumerate(systems):
        for name in dict.fromkeys(map(whole_id, system.measures)):
            places.setdefault(name, []).append(place)
    return places


def _place_of(note: Footnote, measure: Measure | None, systems: Sequence[System], places: list[int]) -> int:
    if len(places) == 1 or measure is None:
        return places[0]
    sign = _sign_of(note.letter, measure)
    return next((place for place in places if f'id="{sign}"' in systems[place].drawing), places[0])


def _sign_of(letter: str, measure: Measure) -> str:
    """The id of the sign that has the letter."""
    for event in measure.tab:
        for figure in event.figures:
            if figure.footnote == letter:
                return figure.id
        if event.footnote == letter:
            return event.id
    for staff in measure.sung:
        for note in staff.events:
            if letter == note.footnote or any(letter == word.footnote for word in note.syllables):
                return note.id
    return next((sign.id for sign in measure.chord_signs if sign.footnote == letter), measure.id)
