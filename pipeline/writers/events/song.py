"""The layers beside the tablature: every sung note, syllable, figure and chord letter with its place."""

from __future__ import annotations

from lxml.etree import _Element

from pipeline.model.heading import Heading
from pipeline.model.layers import LayerNote, LayerPitch
from pipeline.model.pitch import frequency
from pipeline.model.signs import Head, Reading
from pipeline.model.song import ChordLetter, Song, SungLine, SungNote
from pipeline.model.time import show
from pipeline.model.xmltext import legal
from pipeline.writers.events import signs
from pipeline.writers.events.xml import Places, act, add, differs, labels, yes


def song_part(root: _Element, song: Song, heading: Heading, places: Places) -> None:
    """``song``: line …, chord …; nothing where a piece has no layers."""
    if not song.lines and not song.chords:
        return
    element = add(root, "song")
    for line in song.lines:
        _line(element, line, heading, places)
    for chord in song.chords:
        if chord.text or chord.reading is not None:
            _chord(element, chord, places)


def _line(parent: _Element, line: SungLine, heading: Heading, places: Places) -> None:
    """``line``: note …"""
    attributes = {
        "name": line.name,
        "title": legal(line.title),
        "clef": legal(line.clef),
        "fifths": str(line.fifths),
        "bass": yes(line.bass),
        "moved": str(line.moved or ""),
        "from": legal(line.from_file),
    }
    element = add(parent, "line", attributes)
    for note in line.notes:
        unread = note.typed is None and not line.from_file
        _note(element, note, heading, places, unread=unread)


def _note(parent: _Element, note: SungNote, heading: Heading, places: Places, *, unread: bool) -> None:
    """``note``: value, group, mark …, source, syllable …, figure …"""
    typed, pitch = note.typed, note.pitch
    attributes = {"id": note.id, "bar": str(note.bar + 1), "onset": show(note.onset), "length": show(note.length)}
    if pitch is not None:
        attributes |= {"pitch": pitch.name, "semitones": str(pitch.semitones)}
        if heading.pitch is not None:
            attributes["hertz"] = f"{frequency(pitch.semitones, heading.pitch):.2f}"
    attributes |= {
        "unread": yes(unread),
        "tied": yes(note.tied),
        "slurred": yes(note.slurred),
        "fermata": yes(note.fermata),
        "ornaments": " ".join(name.replace(" ", "-") for name in note.ornaments),
        "labels": labels(typed.labels) if typed is not None else "",
        **(act(typed.pitch) if typed is not None and typed.pitch is not None else {}),
        **places.of(note.span),
    }
    element = add(parent, "note", attributes)
    if typed is not None:
        _typed(element, typed, heading, places)
    for syllable in (*note.syllables, *note.unsung):
        given = {
            "stanza": str(syllable.stanza),
            "place": syllable.place.value,
            "extends": yes(syllable.extends),
            "labels": labels(syllable.labels),
            **_edited(syllable.reading),
        }
        add(element, "syllable", {**given, **places.of(syllable.span)}, syllable.text)
    for figure in note.figures:
        given = {"offset": show(figure.offset), "worked-out": yes(not figure.printed)}
        add(element, "figure", {**given, **places.of(note.span)}, " ".join(figure.rows))


def _typed(element: _Element, typed: LayerNote, heading: Heading, places: Places) -> None:
    """What stands over a note, and what the source has where the edition reads something else."""
    head = Head(typed.value, typed.span, group=typed.group, marks=typed.value_marks)
    signs.head(element, head, heading, places)
    reading = typed.pitch
    if reading is not None and differs(reading) and reading.source is not None:
        add(element, "source", text=_name(reading.source))


def _name(pitch: LayerPitch) -> str:
    """As typed: ``E5``, ``F#``."""
    return f"{pitch.step}{pitch.accidental}{'' if pitch.octave is None else pitch.octave}"


def _chord(parent: _Element, chord: ChordLetter, places: Places) -> None:
    """``chord``: a letter as printed, over a line or, without ``over``, over the tablature."""
    given = {"onset": show(chord.onset), "over": chord.over, **_edited(chord.reading)}
    add(parent, "chord", {**given, **places.of(chord.span)}, chord.text)


def _edited(reading: Reading[str] | None) -> dict[str, str]:
    """``act`` and ``source`` of a word that the editor did something to."""
    if reading is None:
        return {}
    return {**act(reading), "source": legal(reading.source or "")}
