"""One note or rest on the two staves."""

from __future__ import annotations

from copy import copy

from lxml.etree import SubElement, _Element

from pipeline.model.notes import Notehead, StaffEvent, Stem
from pipeline.model.time import Metre
from pipeline.writers.musicxml import notes
from pipeline.writers.musicxml.pen import Pen
from pipeline.writers.musicxml.rows import new_note
from pipeline.writers.musicxml.values import ACCIDENTALS


def staff_note(pen: Pen, event: StaffEvent, head: Notehead, voice: int, *, first: bool) -> _Element:
    """The ``note`` of one head; ``first`` unless it is a further note of a chord.

    Heads that agree in all that is listed here get copies of one element; ids and what hangs on ids come after.
    The key is made of what hashes fast: plain values, and the identity of enumeration members.
    """
    value, pitch = event.value, head.pitch
    key = (
        first, voice, event.ticks, value.unit, value.dots, id(event.stem), event.stemless, event.beams, event.tuplet,
        event.fermata, event.strum, pitch.step, pitch.alter, pitch.octave, head.staff, head.course, head.fret,
        head.accidental, head.courtesy, head.tie_from, head.tie_to, id(head.editorial), head.left_finger,
        head.right_finger, head.ornaments,
    )  # fmt: skip
    model = pen.models.get(key)
    if model is None:
        model = pen.models[key] = _model(pen, event, head, voice, first=first)
    note = copy(model)
    note.set("id", head.id)
    return note


def _model(pen: Pen, event: StaffEvent, head: Notehead, voice: int, *, first: bool) -> _Element:
    note = new_note()
    if not first:
        SubElement(note, "chord")
    notes.pitch(note, head.pitch)
    notes.text(note, "duration", str(event.ticks // pen.unit))
    notes.ties(note, stop=head.tie_to, start=head.tie_from)
    notes.level(note, head.editorial)
    notes.text(note, "voice", str(voice))
    notes.value(note, event.value)
    _accidental(note, head)
    notes.time_modification(note, event.tuplet)
    _stem(note, event)
    notes.notehead(note, head.editorial)
    notes.text(note, "staff", str(head.staff))
    if first:
        notes.beams(note, event.beams)
    _notations(note, pen, event, head, first=first)
    notes.ornaments(note, head.ornaments, as_printed=False)
    return note


def small_note(head: Notehead, voice: int, beam: str) -> _Element:
    """``note``: grace, pitch, voice, type, accidental, stem, staff, beams: a small note without time of its own."""
    note = new_note(head.id)
    SubElement(note, "grace", slash="no")
    notes.pitch(note, head.pitch)
    notes.text(note, "voice", str(voice))
    notes.text(note, "type", "16th")
    _accidental(note, head)
    notes.text(note, "stem", "up")
    notes.text(note, "staff", str(head.staff))
    for level in ("1", "2"):
        SubElement(note, "beam", number=level).text = beam
    return note


def _accidental(note: _Element, head: Notehead) -> None:
    """``accidental``: in round brackets where it is a courtesy."""
    if head.accidental:
        brackets = {"cautionary": "yes", "parentheses": "yes"} if head.courtesy else {}
        SubElement(note, "accidental", brackets).text = ACCIDENTALS[head.accidental]


def _stem(note: _Element, event: StaffEvent) -> None:
    """``stem``: left to the program where the score leaves it open."""
    if event.stemless:
        notes.text(note, "stem", "none")
    elif event.stem is not Stem.AUTO:
        notes.text(note, "stem", event.stem.value)


def _notations(note: _Element, pen: Pen, event: StaffEvent, head: Notehead, *, first: bool) -> None:
    """``notations``: tied, tuplet, technical, fermata. Where a head is stopped is told in the edition only, in
    ``notations`` of its own that are not to be printed: a staff has no numbers of strings."""
    notations = SubElement(note, "notations")
    if head.tie_to:
        SubElement(notations, "tied", type="stop")
    if head.tie_from:
        SubElement(notations, "tied", type="start")
    if first:
        notes.tuplet_ends(notations, event.tuplet)
    technical = SubElement(notations, "technical")
    if first:
        notes.strum(technical, event.strum)
    notes.fingers(technical, head.left_finger, head.right_finger)
    if not len(technical):
        notations.remove(technical)
    if first and event.fermata:
        SubElement(notations, "fermata", type="upright")
    if not len(notations):
        note.remove(notations)
    if not pen.copy:
        unprinted = SubElement(note, "notations", {"print-object": "no"})
        notes.place(SubElement(unprinted, "technical"), head.course, head.fret)


def staff_rest(pen: Pen, event: StaffEvent, voice: int, metre: Metre | None) -> _Element:
    """``note``: rest, duration, voice, type, dot, time-modification, staff, beam, notations.

    A rest for the whole bar has no type, and is marked as such only where the bar is as long as its metre: readers
    take the length of such a rest from the metre, not from its duration.
    """
    note = new_note(event.id)
    rest = SubElement(note, "rest")
    notes.text(note, "duration", str(event.ticks // pen.unit))
    notes.text(note, "voice", str(voice))
    if event.whole_bar:
        if metre is not None and event.ticks == metre.ticks:
            rest.set("measure", "yes")
    else:
        notes.value(note, event.value)
        notes.time_modification(note, event.tuplet)
    notes.text(note, "staff", str(event.staff))
    notes.beams(note, event.beams)
    if event.fermata or (event.tuplet is not None and (event.tuplet.starts or event.tuplet.ends)):
        notations = SubElement(note, "notations")
        notes.tuplet_ends(notations, event.tuplet)
        if event.fermata:
            SubElement(notations, "fermata", type="upright")
    return note
