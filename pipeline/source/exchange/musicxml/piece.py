"""A partwise score as a gathered piece."""

from __future__ import annotations

from fractions import Fraction

from pipeline.model.instrument import Course
from pipeline.model.layers import LayerKind
from pipeline.model.signs import Body, Signs
from pipeline.model.tablature import BarlineAct, BarlineKind, DirectiveKind, NoteKind
from pipeline.model.time import WHOLE
from pipeline.source.declare import read_metre
from pipeline.source.exchange.drafts import BarDraft, BreakDraft, LineDraft, PieceDraft, Remark, Said
from pipeline.source.exchange.ledger import Ledger, line_of
from pipeline.source.exchange.lines import word_line
from pipeline.source.exchange.musicxml.definition import (
    Part,
    Tuned,
    courses_of,
    key_typed,
    metre_typed,
    parts_of,
    tabbed_notes,
    tuned_by,
)
from pipeline.source.exchange.musicxml.head import read_head
from pipeline.source.exchange.musicxml.sung import SungReader, harmony_letter
from pipeline.source.exchange.musicxml.tab import TabReader
from pipeline.source.exchange.musicxml.tree import Element, Measure, measures, string_pitch, text, whole
from pipeline.source.exchange.musicxml.words import WordReader
from pipeline.source.exchange.pitches import check_pitches
from pipeline.source.exchange.repeated import repeated
from pipeline.source.exchange.times import mark_lengths, meant_metre, place_events, type_signs
from pipeline.source.exchange.typed import NOWHERE
from pipeline.source.partbook.safety import BrokenError

_STYLES = {
    "light-light": BarlineKind.DOUBLE, "light-heavy": BarlineKind.FINAL, "heavy-light": BarlineKind.DOUBLE,
    "heavy-heavy": BarlineKind.DOUBLE, "dashed": BarlineKind.DASHED, "dotted": BarlineKind.DASHED,
}  # fmt: skip


def read_musicxml(root: Element, name: str, ledger: Ledger) -> PieceDraft:
    """The tablature of a score with all that belongs to it. Raises BrokenError if it holds none."""
    parts = parts_of(root)
    tabs = [part for part in parts if part.role == "tablature"]
    if not tabs:
        raise BrokenError("there is no tablature in it: no note with string and fret, no TAB clef")
    piece = PieceDraft(name)
    read_head(root, piece, ledger)
    for part in tabs[1:]:
        ledger.lose("further parts of tablature; split the file", line_of(part.element), f"part {part.ident}")
    for part in parts:
        if part.role == "other" or (part.role in ("voice", "bass") and not part.name):
            ledger.lose(
                "parts that show other music than tablature and song",
                line_of(part.element),
                f"part {part.ident}",
            )
    others = [part for part in parts if part.role == "other"]
    _Reader(piece, tabs[0], [part for part in parts if part.name], others, ledger).read()
    return piece


def _struck(note: Element) -> bool:
    """Whether a note begins to sound."""
    return all(note.find(name) is None for name in ("rest", "grace")) and note.find("tie[@type='stop']") is None


class _Reader:
    """What is in force while the measures are read in order."""

    def __init__(self, piece: PieceDraft, tab: Part, sung: list[Part], others: list[Part], ledger: Ledger) -> None:
        self._piece = piece
        self._tab = tab
        self._ledger = ledger
        self._measures = list(measures(tab.element, tab.staff))
        if not self._measures:
            raise BrokenError("there is no measure in it")
        stems = {
            text(note, "stem") for measure in self._measures for each in measure.moments.values() for note in each.notes
        }
        self._tabs = TabReader(piece, ledger, stems="none" in stems)
        self._words = WordReader(piece, ledger, self._tabs.who)
        self._stemmed = "none" in stems
        self._tuned = Tuned()
        self._above = True
        self._full = Fraction(0)
        self._metre = ""
        self._waiting: list[Said | BreakDraft] = []
        self._fifths: int | None = None
        self._define()
        self._others = [list(measures(part.element, "")) for part in others]
        self._sung = [SungReader(part, piece, ledger) for part in sung]

    def _define(self) -> None:
        piece, tab = self._piece, self._tab
        for attributes in tab.element.iterfind("measure/attributes"):
            tuned = tuned_by(attributes, tab.staff)
            if tuned is not None:
                self._tuned = tuned
                letters = attributes.find("staff-details[@show-frets='letters']") is not None
                piece.signs = Signs.FRENCH if letters else Signs.ITALIAN
                piece.tuning_line = tuned.at
                break
        self._accords(self._measures[0])
        piece.courses, piece.above = courses_of(self._tuned, tabbed_notes(tab))
        self._tuned.strings = {}
        piece.lines = self._tuned.count
        piece.instrument = tab.instrument or tab.title
        if self._tuned.lines and not piece.courses:
            self._ledger.lose("a tuning that does not name every course", self._tuned.at, "staff-details")
        if tab.element.find("measure/attributes/staff-details/capo") is not None:
            self._ledger.lose("a capo", self._tuned.at, "staff-details")

    def _accords(self, measure: Measure) -> bool:
        """Courses without a line, or tuned anew, from a ``scordatura``."""
        found = False
        for accord in measure.element.iterfind("direction/direction-type/scordatura/accord"):
            string, pitch = whole(accord.get("string") or "", 99), string_pitch(accord)
            if string and pitch is not None:
                self._tuned.strings[string] = pitch
                found = True
        return found

    # --- measures -------------------------------------------------------------------------------------------

    def read(self) -> None:
        piece = self._piece
        for index, measure in enumerate(self._measures):
            self._measure(index, measure)
        piece.after.extend(item for item in self._waiting if isinstance(item, Said))
        if self._fifths is not None and not piece.key:
            signature = (
                "no accidentals"
                if not self._fifths
                else f"{abs(self._fifths)} {'flats' if self._fifths < 0 else 'sharps'}"
            )
            self._ledger.assume(f"The signature is {signature}; type the key, if it is to be declared.")
        place_events(piece)
        repeated(piece, self._ledger)
        measured = any(bar.full for bar in piece.bars)
        events = [event for bar in piece.bars for event in bar.events]
        if not measured and piece.metre != "none" and any(event.sign is not None for event in events):
            meant_metre(piece, self._ledger)
            measured = bool(piece.metre)
        mark_lengths(piece)
        if not self._stemmed:
            for event in events:
                event.sign = event.sign if not event.stops else None
        type_signs(piece, measured=measured, ledger=self._ledger)
        check_pitches(piece, self._ledger)

    def _measure(self, index: int, measure: Measure) -> None:
        bar = BarDraft(measure.name, line=line_of(measure.element))
        self._prints(measure.element)
        self._attributes(index, measure, bar)
        self._left(measure.element)
        bar.before[:0] = self._waiting
        self._waiting = []
        self._piece.bars.append(bar)
        events = self._tabs.read(measure, bar)
        self._words.chords = []
        for moment in measure.ordered():
            for element in moment.before:
                if element.tag == "direction":
                    self._words.read(element, bar, events.get(moment.onset), moment.onset)
                elif element.tag == "harmony":
                    self._words.chords.append((moment.onset, harmony_letter(element)))
                else:
                    self._ledger.lose("figures over the tablature", line_of(element), f"measure {bar.name}")
        self._struck(index, bar)
        self._chords(bar)
        self._right(measure.element, bar)
        bar.full = self._full
        for part in self._sung:
            part.read(index, bar)

    def _struck(self, index: int, bar: BarDraft) -> None:
        """Where other parts strike something over a blank place of the tablature, the chord before is meant again."""
        for measures_ in self._others:
            if index >= len(measures_):
                continue
            for event in bar.events[1:]:
                moment = measures_[index].moments.get(event.onset)
                if event.body is Body.NOTHING and moment is not None and any(map(_struck, moment.notes)):
                    event.body = Body.AS_BEFORE if event.sign is None or event.marks else event.body

    def _chords(self, bar: BarDraft) -> None:
        said = dict(reversed(self._words.chords))
        if said:
            letters = [said.pop(event.onset, "-") for event in bar.events]
            bar.layers.append(word_line(LayerKind.CHORDS, "c", "", letters))
            for letter in said.values():
                self._ledger.lose("names of chords between two events", bar.line, f"{letter} in measure {bar.name}")

    def _prints(self, element: Element) -> None:
        for print_ in element.iterfind("print"):
            if "yes" in (print_.get("new-page"), print_.get("new-system")) and self._piece.bars:
                self._waiting.append(BreakDraft())

    def _attributes(self, index: int, measure: Measure, bar: BarDraft) -> None:
        for attributes in measure.element.iterfind("attributes"):
            typed = metre_typed(attributes)
            if typed is not None:
                typed, said = self._printed(typed), typed
                if index and typed != self._metre:
                    bar.before.append(Said(DirectiveKind.METRE, typed))
                elif not index:
                    self._piece.metre = typed
                self._metre = typed
                read = read_metre(said, NOWHERE, Fraction(1)).value
                self._full = Fraction(read.ticks, WHOLE) if read is not None else Fraction(0)
            key, fifths = key_typed(attributes)
            self._fifths = fifths if fifths is not None and self._fifths is None else self._fifths
            if key and index and key != self._piece.key:
                bar.before.append(Said(DirectiveKind.KEY, key))
            elif key:
                self._piece.key = key
        if index and self._accords(measure):
            self._retune(bar)

    def _printed(self, typed: str) -> str:
        """A metre in the values of the source, where the score says that it has others."""
        beats, _, unit = typed.partition("/")
        shown = Fraction(int(unit)) * self._piece.ratio if unit.isdecimal() else Fraction(0)
        return f"{beats}/{shown}" if shown.denominator == 1 and shown else typed

    def _retune(self, bar: BarDraft) -> None:
        before = next((each.courses for each in reversed(self._piece.bars) if each.courses), self._piece.courses)
        after = tuple(
            Course(each.number, (self._tuned.strings[each.number],)) if each.number in self._tuned.strings else each
            for each in before
        )
        self._tuned.strings = {}
        changed = [course for course, old in zip(after, before, strict=True) if course != old]
        bar.courses = after
        if changed:
            text_ = ", ".join(f"{course.number} = {course.pitch.name}" for course in changed)
            bar.before.append(Said(DirectiveKind.RETUNE, text_))

    # --- bar lines ------------------------------------------------------------------------------------------

    def _left(self, element: Element) -> None:
        for line in element.iterfind("barline[@location='left']"):
            if line.find("repeat[@direction='forward']") is not None:
                before = self._piece.bars[-1] if self._piece.bars else None
                if before is None:
                    self._waiting.append(Said(DirectiveKind.OPENS, BarlineKind.REPEAT_START.value))
                elif before.closing.kind is BarlineKind.REPEAT_END:
                    before.closing.kind = BarlineKind.REPEAT_BOTH
                else:
                    before.closing.kind = BarlineKind.REPEAT_START
            elif text(line, "bar-style") in ("light-light", "heavy-light") and not self._piece.bars:
                self._waiting.append(Said(DirectiveKind.OPENS, BarlineKind.DOUBLE.value))
            for ending in line.iterfind("ending[@type='start']"):
                self._waiting.append(
                    Said(DirectiveKind.ENDING, (ending.get("number") or "1").split(",")[0].strip()[:1])
                )

    def _right(self, element: Element, bar: BarDraft) -> None:
        for line in element.iterfind("barline"):
            if line.get("location") == "left":
                continue
            kind = _STYLES.get(text(line, "bar-style"), BarlineKind.SINGLE)
            if line.find("repeat[@direction='backward']") is not None:
                kind = BarlineKind.REPEAT_END
            bar.closing = LineDraft(kind)
            said = [text(level) for level in line.iterfind("level")]
            if "added" in said:
                bar.closing = LineDraft(BarlineKind.SINGLE if kind is BarlineKind.DASHED else kind, BarlineAct.ADDED)
            elif "doubtful" in said:
                bar.closing.act = BarlineAct.DOUBTFUL
            for footnote in line.iterfind("footnote"):
                bar.closing.remarks.append(Remark(NoteKind.REASON, text(footnote), self._tabs.who(text(footnote))))
            if any(ending.get("type") in ("stop", "discontinue") for ending in line.iterfind("ending")):
                following = element.getnext()
                goes_on = following is not None and following.find("barline/ending[@type='start']") is not None
                if not goes_on:
                    self._waiting.append(Said(DirectiveKind.ENDING, "end"))
