"""One figure or letter of the tablature part."""

from __future__ import annotations

from copy import copy
from typing import NamedTuple

from lxml.etree import SubElement, _Element

from pipeline.model.notes import BeamState, Ink, TabEvent, TabFigure
from pipeline.model.signs import Signs
from pipeline.model.xmltext import legal
from pipeline.writers.musicxml import notes
from pipeline.writers.musicxml.pen import Pen
from pipeline.writers.musicxml.rows import new_note
from pipeline.writers.musicxml.values import LETTERS


class First(NamedTuple):
    """What only the first note of an event carries: beams, and in words the figures that no pitch is known of."""

    beams: tuple[BeamState, ...] = ()
    unread: tuple[str, ...] = ()


def tab_note(pen: Pen, event: TabEvent, figure: TabFigure, first: First | None) -> _Element:
    """The ``note`` of one figure; ``first`` is None for a further figure of a chord. Models as for the staves."""
    value, pitch = event.value, figure.pitch
    key = (
        "tab", first, event.ticks, value.unit, value.dots, event.sign is None, event.tuplet, event.fermata,
        event.strum, event.barre, event.spread, pitch and (pitch.step, pitch.alter, pitch.octave), figure.course,
        figure.fret, figure.text, figure.outside, id(figure.ink), id(figure.editorial), figure.dots,
        figure.left_finger, figure.right_finger, figure.ornaments,
    )  # fmt: skip
    model = pen.models.get(key)
    if model is None:
        model = pen.models[key] = _model(pen, event, figure, first)
    note = copy(model)
    note.set("id", figure.id)
    return note


def _model(pen: Pen, event: TabEvent, figure: TabFigure, first: First | None) -> _Element:
    note = new_note()
    if first is None:
        SubElement(note, "chord")
    if figure.pitch is None:
        SubElement(note, "rest")  # ``unpitched`` under the clef of a tablature hangs a widely used reader
    else:
        notes.pitch(note, figure.pitch)
    notes.text(note, "duration", str(event.ticks // pen.unit))
    notes.level(note, figure.editorial)
    notes.text(note, "voice", "1")
    notes.value(note, event.value)
    notes.time_modification(note, event.tuplet)
    _stem(note, event)
    notes.notehead(note, figure.editorial)
    if first is not None:
        notes.beams(note, first.beams)
    _notations(note, event, figure, first, pen.signs)
    notes.ornaments(note, figure.ornaments, as_printed=True)
    return note


def _stem(note: _Element, event: TabEvent) -> None:
    """``stem``: only where a rhythm sign is printed, for there programs draw it."""
    notes.text(note, "stem", "none" if event.sign is None else "up")


def _notations(note: _Element, event: TabEvent, figure: TabFigure, first: First | None, signs: Signs) -> None:
    """``notations``: tuplet, technical, other-notation, fermata, arpeggiate."""
    notations = SubElement(note, "notations")
    if first is not None:
        notes.tuplet_ends(notations, event.tuplet)
    technical = SubElement(notations, "technical")
    if first is not None:
        if event.barre:
            _other(notations, "barre")
        for words in first.unread:
            _other(notations, words)
    if figure.pitch is not None:
        notes.fingers(technical, figure.left_finger, figure.right_finger)
        notes.place(technical, figure.course, figure.fret)
        _printed(notations, figure, signs)
    if first is not None and event.fermata:
        SubElement(notations, "fermata", type="upright")
    if event.spread:
        SubElement(notations, "arpeggiate")


def _printed(notations: _Element, figure: TabFigure, signs: Signs) -> None:
    """``other-notation``: the sign as printed where course and fret do not tell it, and dots of the right hand."""
    if figure.text and (figure.outside or figure.text != _plain(figure.fret, signs)):
        _other(notations, legal(figure.text))
    if figure.dots:
        _other(notations, "." * figure.dots, placement="below")


def _other(notations: _Element, words: str, **more: str) -> None:
    """``other-notation``; as ``other-technical`` readers take it for an articulation, which tablature has not."""
    SubElement(notations, "other-notation", {"type": "single", **more}).text = words


def unread_figure(figure: TabFigure) -> str:
    """A figure that nothing is known to sound from, in words: illegible, lost, or refused as impossible."""
    what = figure.text if figure.ink is Ink.FIGURE else figure.ink.value
    return legal(f"course {figure.course or '?'}: {what}")


def _plain(fret: int, signs: Signs) -> str:
    """How a program writes a fret by itself."""
    if signs is Signs.ITALIAN:
        return str(fret)
    return LETTERS[fret] if 0 <= fret < len(LETTERS) else ""


def tab_rest(pen: Pen, event: TabEvent, beams: tuple[BeamState, ...]) -> _Element:
    """``note``: rest, duration, voice, type, dot, time-modification, beam, notations."""
    note = new_note(event.id)
    SubElement(note, "rest")
    notes.text(note, "duration", str(event.ticks // pen.unit))
    notes.text(note, "voice", "1")
    notes.value(note, event.value)
    notes.time_modification(note, event.tuplet)
    notes.beams(note, beams)
    if event.fermata or (event.tuplet is not None and (event.tuplet.starts or event.tuplet.ends)):
        notations = SubElement(note, "notations")
        notes.tuplet_ends(notations, event.tuplet)
        if event.fermata:
            SubElement(notations, "fermata", type="upright")
    return note
