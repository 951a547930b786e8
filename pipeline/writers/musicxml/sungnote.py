"""One note or rest of a vocal or bass staff, with its words."""

from __future__ import annotations

from lxml.etree import SubElement, _Element

from pipeline.model.notes import Kind
from pipeline.model.score import SungEvent, SungSyllable
from pipeline.model.time import Metre
from pipeline.model.xmltext import legal
from pipeline.writers.musicxml import notes
from pipeline.writers.musicxml.pen import Pen
from pipeline.writers.musicxml.rows import new_note
from pipeline.writers.musicxml.values import ACCIDENTALS

#: Joins two syllables sung on one note (U+203F).
_ELISION = "‿"
_VOICE = "1"


def sung_note(pen: Pen, event: SungEvent, metre: Metre | None, measure: str, *, slur_stops: bool) -> _Element:
    """``note``: pitch or rest, duration, tie, footnote, level, voice, type, dot, accidental, time-modification,
    notehead, beam, notations, lyric …

    A rest for the whole bar is written as on the two staves: as such only where the bar is as long as its metre.
    """
    note = new_note(event.id)
    sounds = event.kind is Kind.NOTE and event.pitch is not None
    if event.pitch is not None and sounds:
        notes.pitch(note, event.pitch)
    else:
        rest = SubElement(note, "rest")
        if event.whole_bar and metre is not None and event.ticks == metre.ticks:
            rest.set("measure", "yes")
    notes.text(note, "duration", str(event.ticks // pen.unit))
    if sounds:
        notes.ties(note, stop=event.tie_to, start=event.tie_from)
    notes.level(note, event.editorial)
    notes.text(note, "voice", _VOICE)
    if not event.whole_bar:
        notes.value(note, event.value)
        if event.accidental:
            brackets = {"cautionary": "yes", "parentheses": "yes"} if event.courtesy else {}
            SubElement(note, "accidental", brackets).text = ACCIDENTALS[event.accidental]
        notes.time_modification(note, event.tuplet)
    if sounds:
        notes.notehead(note, event.editorial)
    notes.beams(note, event.beams)
    _notations(note, event, sounds=sounds, slur_stops=slur_stops)
    for syllable in event.syllables:
        said = pen.footnote(syllable.footnote, measure) if syllable.footnote else ""
        _lyric(note, syllable, said)
    if event.footnote:
        notes.add_footnote(note, pen.footnote(event.footnote, measure))
    return note


def _notations(note: _Element, event: SungEvent, *, sounds: bool, slur_stops: bool) -> None:
    """``notations``: tied, slur (a melisma), tuplet, ornaments, fermata."""
    notations = SubElement(note, "notations")
    if sounds and event.tie_to:
        SubElement(notations, "tied", type="stop")
    if sounds and event.tie_from:
        SubElement(notations, "tied", type="start")
    if slur_stops:
        SubElement(notations, "slur", type="stop", number="1")
    if event.slur_to:
        SubElement(notations, "slur", type="start", number="1")
    notes.tuplet_ends(notations, event.tuplet)
    if sounds:
        notes.ornaments(note, event.ornaments, as_printed=False)
    if event.fermata:
        SubElement(notations, "fermata", type="upright")
    if not len(notations):
        note.remove(notations)


def _lyric(note: _Element, syllable: SungSyllable, footnote: str) -> None:
    """``lyric``: syllabic, text, then elision, syllabic, text for each further word sung on the note; extend, footnote,
    level.

    The words of an elision share one place in the score: the hyphen before belongs to the first, the one behind to
    the last. A melisma within a word shows by its hyphens, at its end by a line.
    """
    lyric = SubElement(note, "lyric", number=str(syllable.stanza))
    words = syllable.text.split(_ELISION)
    continued = syllable.position in {"middle", "end"}
    goes_on = syllable.position in {"begin", "middle"}
    for number, word in enumerate(words, start=1):
        if number > 1:
            SubElement(lyric, "elision").text = _ELISION
        before, behind = continued and number == 1, goes_on and number == len(words)
        place = {(False, False): "single", (False, True): "begin", (True, True): "middle", (True, False): "end"}
        SubElement(lyric, "syllabic").text = place[before, behind]
        SubElement(lyric, "text").text = legal(word)
    if syllable.extends and not goes_on:
        SubElement(lyric, "extend")
    if footnote:
        SubElement(lyric, "footnote").text = legal(footnote)
    notes.level(lyric, syllable.editorial)
