"""What independent readers make of the sung lines of a singer's copy, in one form for comparing.

music21 tells notes, ties, slurs, fermatas and words; partitura notes only: it reads no words. Neither keeps figured
bass; :func:`figures_in` reads the durations in the document itself.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction

import music21
from lxml import etree

from pipeline.model.notes import Kind
from pipeline.model.score import Score, SungEvent
from pipeline.model.time import ticks_to_fraction
from tests.outside.readback import partitura_part, parts_by_music21

#: Stanza, text with ‿ for an elision, place in its word.
Word = tuple[int, str, str]


@dataclass(frozen=True, slots=True)
class Sung:
    """One note of a line: its part, onset and length in whole notes, MIDI pitch, ties, slurs that begin and end,
    fermata, words."""

    part: str
    onset: Fraction
    length: Fraction
    midi: int
    tied_to: bool
    tied_from: bool
    slur_starts: bool
    slur_ends: bool
    fermata: bool
    words: tuple[Word, ...]


def sung_written(score: Score) -> list[Sung]:
    """What the score holds, part by part, in order of time."""
    found: list[Sung] = []
    for staff in sorted(score.vocal, key=lambda staff: staff.bass):
        for measure in score.measures:
            for held in measure.sung:
                if held.staff == staff.name:
                    ends = {event.slur_to for event in held.events}
                    notes = [event for event in held.events if event.kind is Kind.NOTE]
                    found.extend(_written(staff.title or staff.name, event, event.id in ends) for event in notes)
    return found


def _written(part: str, event: SungEvent, slur_ends: bool) -> Sung:
    assert event.pitch is not None
    return Sung(
        part,
        ticks_to_fraction(event.onset),
        ticks_to_fraction(event.ticks),
        event.pitch.semitones,
        event.tie_to,
        event.tie_from,
        bool(event.slur_to),
        slur_ends,
        event.fermata,
        tuple(sorted((word.stanza, word.text, word.position) for word in event.syllables)),
    )


def sung_by_music21(document: bytes) -> list[Sung]:
    """The vocal and bass parts as music21 reads them: all of one staff but the tablature."""
    found: list[Sung] = []
    ids = [part.get("id", "") for part in etree.fromstring(document).iterfind("part")]
    parts = parts_by_music21(document)
    single = [part for part in parts if not isinstance(part, music21.stream.PartStaff)]
    for part, id_ in zip(single, (id_ for id_ in ids if id_ != "staves"), strict=True):
        if id_ == "tablature":
            continue
        slurs = list(part.recurse().getElementsByClass(music21.spanner.Slur))
        starts = {id(slur.getFirst()) for slur in slurs}
        ends = {id(slur.getLast()) for slur in slurs}
        for note in part.recurse().getElementsByClass(music21.note.Note):
            tie = note.tie.type if note.tie is not None else ""
            found.append(
                Sung(
                    part.partName,
                    _whole(note.getOffsetInHierarchy(part)),
                    _whole(note.duration.quarterLength),
                    note.pitch.midi,
                    tie in {"stop", "continue"},
                    tie in {"start", "continue"},
                    id(note) in starts,
                    id(note) in ends,
                    any(isinstance(sign, music21.expressions.Fermata) for sign in note.expressions),
                    tuple(sorted(map(_word, note.lyrics))),
                )
            )
    return found


def _whole(quarters: float | Fraction) -> Fraction:
    return Fraction(quarters).limit_denominator(100_000) / 4


def _word(lyric: music21.note.Lyric) -> Word:
    """Stanza, text, place; that of an elision follows from its first word and its last."""
    if not lyric.isComposite:
        return lyric.number, lyric.text, lyric.syllabic or ""
    words = lyric.components
    before, behind = words[0].syllabic in {"middle", "end"}, words[-1].syllabic in {"begin", "middle"}
    place = {(False, False): "single", (False, True): "begin", (True, True): "middle", (True, False): "end"}
    return lyric.number, "‿".join(word.text for word in words), place[before, behind]


#: Part, onset, length, MIDI pitch.
Note = tuple[str, Fraction, Fraction, int]


def notes_of(sung: list[Sung]) -> Counter[Note]:
    """What partitura can tell of it."""
    return Counter((note.part, note.onset, note.length, note.midi) for note in sung)


def notes_by_partitura(document: bytes, score: Score) -> Counter[Note]:
    """The notes of the sung lines as partitura reads them, ties not joined."""
    found: Counter[Note] = Counter()
    for staff in score.vocal:
        part = partitura_part(document, f"line-{staff.name}")
        for note in part.notes:
            whole = 4 * int(part.quarter_duration_map(note.start.t))
            place = Fraction(note.start.t, whole), Fraction(note.duration, whole)
            found[(staff.title or staff.name, *place, note.midi_pitch)] += 1
    return found


#: Part, onset in the measure, rows as written: (prefix, number, suffix) …
Column = tuple[str, int, Fraction, tuple[tuple[str, str, str], ...]]


def figures_in(document: bytes) -> list[Column]:
    """Part, number of its measure from 0, place in it, rows of every figured bass.

    As the standard says: figures have the place of the note that follows, and several before one note follow each
    other by their durations (W3C, MusicXML 4.0 reference, ``figured-bass``).
    """
    found: list[Column] = []
    for part in etree.fromstring(document).iterfind("part"):
        divisions = 4 * int(part.findtext(".//divisions"))
        for number, measure in enumerate(part.iterfind("measure")):
            at = waiting = 0
            for element in measure:
                length = int(element.findtext("duration") or 0)
                if element.tag == "figured-bass":
                    rows = tuple(
                        tuple(figure.findtext(name) or "" for name in ("prefix", "figure-number", "suffix"))
                        for figure in element.iterfind("figure")
                    )
                    if any(map(any, rows)):
                        found.append((part.get("id"), number, Fraction(at + waiting, divisions), rows))
                    waiting += length
                elif element.tag == "backup":
                    at -= length
                elif element.tag in {"note", "forward"} and element.find("chord") is None:
                    at, waiting = at + length, 0
    return found
