"""Vocal and bass staves: notes as printed, modern clefs, words, melisma slurs, figures, chord letters."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pipeline.edition.notate.accidentals import Accidentals
from pipeline.edition.notate.beams import beam_states
from pipeline.edition.notate.drafts import DraftEvent, DraftSung
from pipeline.edition.notate.footnotes import BarNotes
from pipeline.edition.notate.frame import frame_of, upbeat_shift
from pipeline.edition.notate.layers import rests
from pipeline.edition.notate.signs import editorial, letters, ornament
from pipeline.edition.notate.sungnotes import chord_letter, note_letter, word_letter
from pipeline.edition.notate.values import grid_of, rest_values
from pipeline.model.heading import Heading
from pipeline.model.notes import BeamState, Editorial, Kind, Ornament, Place, Tuplet
from pipeline.model.record import replace
from pipeline.model.score import ChordSign, FigureColumn, Incipit, SungEvent, SungStaff, SungSyllable, VocalStaff
from pipeline.model.song import Song, SungLine, SungNote
from pipeline.model.sounding import SoundingBar
from pipeline.model.time import Value

#: The modern clef for a clef of the source, and whether it sounds an octave lower. Common practice, no source.
_MODERN = {
    "G1": ("G2", False), "G2": ("G2", False), "C1": ("G2", False), "C2": ("G2", False), "C3": ("G2", True),
    "C4": ("G2", True), "C5": ("F4", False), "F3": ("F4", False), "F4": ("F4", False), "F5": ("F4", False),
}  # fmt: skip


def vocal_staff(line: SungLine, opening: Incipit | None = None) -> VocalStaff:
    """The staff that a line is printed on; before it, how it begins in the source."""
    clef, down = _MODERN.get(line.clef, ("G2", False))
    return VocalStaff(line.name, line.title, clef, down, line.fifths, line.clef, line.stanzas, line.bass, opening)


class SungReader:
    """Hands out one line measure by measure, in order."""

    def __init__(self, line: SungLine, heading: Heading) -> None:
        self._line = line
        self._heading = heading
        self._next = 0
        self._accidentals = Accidentals()

    def measure(
        self, bar: SoundingBar, measure: str, noted: BarNotes | None = None
    ) -> tuple[SungStaff, tuple[FigureColumn, ...]]:
        """What the line holds in a measure; a rest for the whole of it where it holds nothing. ``noted`` hands out the
        letters of notes at the foot, where there are to be any."""
        notes = list(self._take(bar.index))
        letters: list[str] = []
        words: list[tuple[SungSyllable, ...]] = []
        for note in notes:  # letters in the order of the notes, each before its words
            letters.append(note_letter(noted, self._line, note) if noted else "")
            words.append(tuple(self._syllables(note, noted)))
        if not notes or (len(notes) == 1 and notes[0].pitch is None and notes[0].length == bar.length):
            silence = tuple(self._silence(bar, measure))
            if any(letters):
                silence = (replace(silence[0], footnote=letters[0]), *silence[1:])
            return SungStaff(self._line.name, silence), ()
        heads = {note.id: DraftSung(note.pitch, note.tied) for note in notes if note.pitch is not None}
        self._accidentals.measure(list(heads.values()), self._line.fifths)
        drafts = [_draft(note, bar) for note in notes]
        beams = beam_states(drafts, bar.metre, upbeat_shift(bar))
        following = self._line.notes[self._next : self._next + 1]
        ties = [after.tied for after in (*notes[1:], *following)] + [False]
        events = [
            replace(
                _event(note, draft, heads.get(note.id), states, tie, _slur_end(notes, at)),
                ornaments=tuple(_ornaments(note, self._heading)),
                footnote=letter,
                syllables=syllables,
            )
            for at, (note, draft, states, tie, letter, syllables) in enumerate(
                zip(notes, drafts, beams, ties, letters, words, strict=False)
            )
        ]
        events.extend(_missing(notes[-1], bar))
        return SungStaff(self._line.name, tuple(events)), tuple(self._figures(notes, bar))

    def _take(self, bar: int) -> Iterator[SungNote]:
        notes = self._line.notes
        while self._next < len(notes) and notes[self._next].bar <= bar:
            yield notes[self._next]
            self._next += 1

    def _silence(self, bar: SoundingBar, measure: str) -> Iterator[SungEvent]:
        name = f"{measure}{self._line.name}"
        if not upbeat_shift(bar):
            yield SungEvent(f"{name}r", Kind.REST, bar.onset, bar.length, Value(1), whole_bar=True)
            return
        for number, rest in enumerate(rests(frame_of(bar)), start=1):
            yield SungEvent(f"{name}r{number}", Kind.REST, bar.onset + rest.start, rest.ticks, rest.value)

    def _syllables(self, note: SungNote, noted: BarNotes | None) -> Iterator[SungSyllable]:
        for word in note.syllables:
            how = editorial(word.reading) if word.reading is not None else Editorial.PLAIN
            letter = word_letter(noted, self._line, note, word) if noted else ""
            yield SungSyllable(word.stanza, word.text, word.place.value, word.extends, how, letter)

    def _figures(self, notes: Sequence[SungNote], bar: SoundingBar) -> Iterator[FigureColumn]:
        for note in notes:
            for number, figure in enumerate(note.figures, start=1):
                end = note.figures[number].offset if number < len(note.figures) else note.length
                yield FigureColumn(
                    f"f-{note.id}-{number}",
                    self._line.name,
                    note.onset - bar.onset + figure.offset,
                    end - figure.offset,
                    figure.rows,
                    note.id,
                    editorial=not figure.printed,
                )


def _draft(note: SungNote, bar: SoundingBar) -> DraftEvent:
    kind = Kind.REST if note.pitch is None else Kind.NOTE
    return DraftEvent(kind, note.onset - bar.onset, note.length, note.value, tuplet=_tuplet(note))


def _tuplet(note: SungNote) -> Tuplet | None:
    place = note.tuplet
    return None if place is None else Tuplet(place.notes, place.time, place.starts, place.ends)


def _missing(last: SungNote, bar: SoundingBar) -> Iterator[SungEvent]:
    """A line that is too short for its bar (a fault, reported as such) ends in empty time."""
    at = last.onset + last.length
    for ticks, value in rest_values(at - bar.onset, bar.length, grid_of(bar.metre, upbeat_shift(bar))):
        yield SungEvent(f"{last.id}s{at}", Kind.SPACE, at, ticks, value)
        at += ticks


def _event(
    note: SungNote,
    draft: DraftEvent,
    head: DraftSung | None,
    beams: tuple[BeamState, ...],
    goes_on: bool,
    slur_to: str,
) -> SungEvent:
    return SungEvent(
        note.id,
        draft.kind,
        note.onset,
        note.length,
        note.value,
        note.pitch,
        head.accidental if head else "",
        head.courtesy if head else False,
        tie_from=goes_on,
        tie_to=note.tied,
        beams=beams,
        tuplet=draft.tuplet,
        fermata=note.fermata,
        editorial=_editorial(note),
        slur_to=slur_to,
    )


def _ornaments(note: SungNote, heading: Heading) -> Iterator[Ornament]:
    """The ornaments at a note: marks as declared in the heading, or those of its file, in modern signs."""
    if note.typed is not None:
        for letter, how in letters(note.typed.value_marks):
            if letter.isupper():
                yield ornament(letter, how, heading)
    for meaning in note.ornaments:
        yield Ornament("", meaning, Place.ABOVE)


def _editorial(note: SungNote) -> Editorial:
    if note.added:
        return Editorial.BRACKETED_DOUBTFUL if note.doubtful else Editorial.BRACKETED
    return Editorial.DOUBTFUL if note.doubtful else Editorial.PLAIN


def _slur_end(notes: Sequence[SungNote], at: int) -> str:
    """The last note sung on the syllable that note ``at`` begins, within its measure; empty if it is alone."""
    note = notes[at]
    if note.pitch is None:
        return ""
    last = at
    while last + 1 < len(notes) and (notes[last + 1].slurred or notes[last + 1].tied) and notes[last + 1].pitch:
        last += 1
    moves = any(after.slurred for after in notes[at + 1 : last + 1])
    return notes[last].id if moves and not note.slurred and not note.tied else ""


class ChordReader:
    """Hands out the chord letters of a song measure by measure, in order."""

    def __init__(self, song: Song) -> None:
        self._chords = song.chords
        self._next = 0

    def measure(
        self, bar: SoundingBar, measure: str, noted: BarNotes | None = None
    ) -> tuple[tuple[ChordSign, ...], tuple[str, ...]]:
        """The letters that stand in a measure, and the footnotes on such as the edition leaves out."""
        found: list[ChordSign] = []
        left_out: list[str] = []
        while self._next < len(self._chords) and self._chords[self._next].onset < bar.end:
            chord = self._chords[self._next]
            self._next += 1
            letter = chord_letter(noted, chord) if noted else ""
            if not chord.text:
                left_out.extend([letter] if letter else [])
                continue
            how = editorial(chord.reading) if chord.reading is not None else Editorial.PLAIN
            name, offset = f"{measure}c{len(found) + 1}", chord.onset - bar.onset
            found.append(ChordSign(name, chord.over, offset, chord.text, "", editorial=how, footnote=letter))
        return tuple(found), tuple(left_out)
