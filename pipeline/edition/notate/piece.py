"""The assembly of the score, measure by measure."""

from __future__ import annotations

from pipeline.edition.diapasons import asked_tunings
from pipeline.edition.notate.accidentals import Accidentals, in_order
from pipeline.edition.notate.choosing import chosen, sung_with
from pipeline.edition.notate.clefs import limits
from pipeline.edition.notate.drafts import DraftHead
from pipeline.edition.notate.footnotes import BarNotes, Footnotes
from pipeline.edition.notate.frame import frame_of
from pipeline.edition.notate.front import credits_of, instrument_word, legend_of
from pipeline.edition.notate.layers import VoiceReader, by_voice
from pipeline.edition.notate.octaves import with_octave_runs
from pipeline.edition.notate.signs import NO_MARKS, EventMarks, editorial, event_marks
from pipeline.edition.notate.spanners import arpeggio, brackets, dashes, holds, lines_on, slurs
from pipeline.edition.notate.staves import draft_layers, finished
from pipeline.edition.notate.sung import ChordReader, SungReader, vocal_staff
from pipeline.edition.notate.tabstaff import TabStaff
from pipeline.edition.notate.voices import incipit_of
from pipeline.edition.notate.words import (
    directive_words,
    ending,
    folios_inside,
    layout_of,
    left_style,
    over_the_voices,
    printed_words,
    right_style,
)
from pipeline.edition.notate.written import first_of_passages, written_out
from pipeline.model.notes import Editorial, Kind, Layer, Notehead, Octave, StaffEvent
from pipeline.model.pitch import SpelledPitch
from pipeline.model.record import replace
from pipeline.model.score import USUAL_CLEFS, Arpeggio, Clef, HoldLine, Measure, Score
from pipeline.model.song import Song
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.staves import Staves
from pipeline.model.tablature import DirectiveKind
from pipeline.model.time import Metre
from pipeline.model.voiced import VoicedPiece

NO_SONG = Song()
#: Courses that have a line; further stopped courses stand outside the lines as diapasons do.
_LINES = 6


def notate(
    voiced: VoicedPiece,
    song: Song = NO_SONG,
    staves: Staves = Staves.ALL,
    clefs: tuple[Clef, Clef] = USUAL_CLEFS,
) -> Score:
    """The voiced piece as a score, with what is sung to it, on all its staves or some of them. Every bar adds up in
    every voice that it shows; no sound is left out."""
    piece = voiced.sounding
    heading = piece.heading
    song = sung_with(song, staves)
    engraver = _Notator(voiced, song, clefs)
    whole = with_octave_runs([engraver.measure(bar) for bar in piece.bars])
    measures = tuple(chosen(measure, staves) for measure in whole)
    return Score(
        heading,
        credits_of(heading, song, asked_tunings(piece)),
        heading.instrument,
        heading.signs,
        measures,
        tuple(engraver.footnotes.notes),
        legend_of(measures, heading, song, staves, voiced.fifths, engraver.footnotes.notes),
        lines=heading.lines or min(heading.instrument.stopped, _LINES),
        course_1_above=heading.course_1_above,
        tablature=staves.tablature,
        staves=staves.pair,
        vocal=tuple(vocal_staff(line, incipit_of(line, heading)) for line in song.lines),
        accompaniment_title=instrument_word(heading) if song.lines else "",
        verses=song.verses,
        clefs=clefs,
    )


class _Notator:
    """What is in force while the measures are made in order."""

    def __init__(self, voiced: VoicedPiece, song: Song, clefs: tuple[Clef, Clef]) -> None:
        self._limits = limits(clefs)
        piece = voiced.sounding
        self._voices = [SungReader(line, piece.heading) for line in song.lines if not line.bass]
        self._basses = [SungReader(line, piece.heading) for line in song.lines if line.bass]
        self._chords = ChordReader(song)
        self.footnotes = Footnotes()
        self._piece: SoundingPiece = piece
        self._voiced = voiced
        self._readers = {voice: (part, VoiceReader(notes)) for voice, (part, notes) in by_voice(voiced).items()}
        self._spelled: dict[str, SpelledPitch] = {note.led.id: note.spelling for note in voiced.notes}
        self._accidentals = Accidentals()
        self._pieces: dict[str, int] = {}
        self._slurs = slurs(piece)
        self._holds = holds(piece)
        self._dashes = dashes(voiced)
        self._brackets = brackets(voiced)
        self._written_out = first_of_passages(piece)
        self._metre: Metre | None = None
        self._fifths: int | None = None

    def measure(self, bar: SoundingBar) -> Measure:
        """One measure with everything that stands in it."""
        bars = self._piece.bars
        before = bars[bar.index - 1] if bar.index else None
        after = bars[bar.index + 1] if bar.index + 1 < len(bars) else None
        measure = f"m{bar.index + 1}"
        notes = BarNotes(bar, measure, self.footnotes, self._piece.heading)
        fifths = bar.key.fifths if bar.key is not None else self._voiced.fifths
        # Notes at the foot have their letters in the order of the staves.
        signs, left_out = self._chords.measure(bar, measure, notes)
        above = [reader.measure(bar, measure, notes) for reader in self._voices]
        tab = TabStaff(bar, self._piece.heading, notes, self._spelled)
        tab_events = tab.events()
        sung = [*above, *(reader.measure(bar, measure, notes) for reader in self._basses)]
        layers = self._layers(bar, fifths, tab, measure)
        arpeggios, extra_lines = self._at_events(bar, tab)
        layers = written_out(layers, arpeggios, self._written_out)
        words = [
            *directive_words(bar.directives, measure, self._piece.heading.values),
            *folios_inside(bar, measure),
            *printed_words(bar, notes, measure),
        ]
        if after is None and self._piece.closing:
            words.extend(directive_words(self._piece.closing, f"{measure}z", self._piece.heading.values, bar.length))
        if self._voices:
            words = [over_the_voices(each) for each in words]
        made = Measure(
            measure,
            bar.index + 1,
            bar.label,
            bar.onset,
            bar.length,
            left_style(bar, before),
            right_style(bar),
            tab_events,
            layers,
            metre=bar.metre if bar.metre != self._metre else None,
            fifths=fifths if fifths != self._fifths else None,
            complete=bar.metre is None or not bar.metre.beats or bar.length == bar.metre.ticks,
            slurs=tuple(self._slurs.get(bar.index, ())),
            holds=(*self._holds.get(bar.index, ()), *extra_lines),
            arpeggios=arpeggios,
            dashes=tuple(line for event in bar.events for line in self._dashes.get(event.onset, ())),
            brackets=tuple(
                self._brackets[stop.id] for event in bar.events for stop in event.stops if stop.id in self._brackets
            ),
            words=tuple(words),
            ending=ending(bar, before, after),
            folios=tuple(folio for folio, _ in bar.folios),
            retuned=bar.instrument if _retuned(bar) else None,
            footnote=" ".join(letter for letter in (*left_out, notes.whole_bar()) if letter),
            sung=tuple(staff for staff, _ in sung),
            figures=tuple(column for _, columns in sung for column in columns),
            chord_signs=signs,
            layout=layout_of(bar.directives),
        )
        self._metre, self._fifths = bar.metre, fifths
        return made

    def _layers(self, bar: SoundingBar, fifths: int, tab: TabStaff, measure: str) -> tuple[Layer, ...]:
        frame = frame_of(bar)
        drafts = draft_layers(self._readers, frame, self._pieces, self._voiced.led.voices, self._limits)
        self._accidentals.measure(in_order(drafts), fifths, free=frame.free)
        layers = tuple(finished(draft, frame, lambda head: _notehead(head, tab), measure) for draft in drafts)
        return self._with_strums(layers, bar)

    def _with_strums(self, layers: tuple[Layer, ...], bar: SoundingBar) -> tuple[Layer, ...]:
        """Strums and fermatas stand once, at the highest layer that begins something there."""
        found = {}
        for event in bar.events:
            marks = event_marks(event.event, self._piece.heading)
            if marks.strum or marks.fermata:
                found[event.onset] = marks
        if not found:
            return layers
        done: set[int] = set()
        return tuple(
            replace(layer, events=tuple(_marked(event, found, done) for event in layer.events)) for layer in layers
        )

    def _at_events(self, bar: SoundingBar, tab: TabStaff) -> tuple[tuple[Arpeggio, ...], tuple[HoldLine, ...]]:
        arpeggios: list[Arpeggio] = []
        lines: list[HoldLine] = []
        for place, event in enumerate(bar.events):
            if len(event.stops) > 1:
                heading = self._piece.heading
                made = arpeggio(event, event_marks(event.event, heading), bar.instrument, heading.arpeggio)
                if made is not None:
                    arpeggios.append(made)
            if event.stops and tab.marks:
                after = bar.events[place + 1] if place + 1 < len(bar.events) else None
                lines.extend(lines_on(event, tab.marks, after))
        return tuple(arpeggios), tuple(lines)


def _marked(event: StaffEvent, found: dict[int, EventMarks], done: set[int]) -> StaffEvent:
    marks = found.get(event.onset)
    if marks is None or event.onset in done or event.kind is Kind.SPACE:
        return event
    if event.heads and event.heads[0].tie_to:
        return event
    done.add(event.onset)
    return replace(event, strum=marks.strum, fermata=marks.fermata)


def _retuned(bar: SoundingBar) -> bool:
    return any(line.kind is DirectiveKind.RETUNE for line in bar.directives)


def _notehead(draft: DraftHead, tab: TabStaff) -> Notehead:
    led = draft.note.led
    stop = led.stop
    first = not draft.tie_to
    marks = tab.marks.get(led.id, NO_MARKS) if first else NO_MARKS
    restored = led.restored
    return Notehead(
        draft.id,
        led.id,
        draft.note.spelling,
        draft.staff,
        stop.course,
        stop.fret,
        draft.accidental,
        draft.courtesy,
        draft.tie_from,
        draft.tie_to,
        editorial(stop.stop.reading) if first else Editorial.PLAIN,
        tab.letters.get(led.id, "") if first else "",
        Octave(restored.octaves, restored.asked, restored.confidence) if restored and first else None,
        marks.left_finger,
        marks.right_finger,
        marks.ornaments,
    )
