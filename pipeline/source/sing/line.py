"""One typed line of notes: values and octaves that hold on, ties, figures, and whether it fills its bar."""

from __future__ import annotations

from fractions import Fraction

from pipeline.findings.codes.song import LINE_TOO_LONG, LINE_TOO_SHORT, NOTHING_TO_JOIN, OCTAVE_MISSING, VALUE_MISSING
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.heading import Layer
from pipeline.model.layers import LayerLine, LayerNote, LayerPitch
from pipeline.model.pitch import SpelledPitch, in_signature
from pipeline.model.signs import Act, Body, Event, Head, Unread
from pipeline.model.song import Figure
from pipeline.model.time import Ticks, Value, show
from pipeline.source.resolve.clock import Beat, Clock, enclosed
from pipeline.source.sing.drafts import Draft, SungStretch

_ALTER = {"#": 1, "b": -1, "n": 0}
#: Fallback octaves of a line whose first octave is missing: that of the clef's line or near it.
_OCTAVES = {"G": 4, "C": 4, "F": 3}
_FERMATA = "f"


def scaled(value: Value, ratio: Fraction) -> Value:
    """A printed value in the edition's values: a minim at 1:2 is a crotchet. A breve cannot grow."""
    if ratio == 1:
        return value
    unit = Fraction(1, 2) if value.unit == 0 else Fraction(value.unit)
    unit /= ratio
    return Value(0 if unit < 1 else int(unit), value.dots)


class LineReader:
    """Reads the lines of one layer, bar after bar."""

    def __init__(self, layer: Layer, ratio: Fraction) -> None:
        self.layer = layer
        self.found: list[Diagnostic] = []
        self._ratio = ratio
        self._clock = Clock(ratio)
        self._before: Draft | None = None
        self._octave = _OCTAVES[layer.clef[0]] - (1 if layer.clef.endswith("_8") else 0)

    @property
    def diagnostics(self) -> tuple[Diagnostic, ...]:
        return (*self.found, *self._clock.diagnostics)

    def bar(self, line: LayerLine, stretch: SungStretch) -> list[Draft]:
        """The notes of the line in time. Each bar begins at the tablature's, whatever the one before held."""
        if _rests(line) and not stretch.asked[-1]:  # through a bar that lasts nothing
            self.rest()
            return []
        beats = self._beats(line, stretch)
        onset = stretch.onset
        first = stretch.bars[0].index
        drafts: list[Draft] = []
        stated = False
        for number, (note, beat) in enumerate(zip(line.notes, beats, strict=True), start=1):
            draft = Draft(
                f"{self.layer.name}-b{first + 1}n{number}",
                _bar_at(stretch, onset),
                onset,
                beat.length,
                scaled(beat.sign, self._ratio) if beat.sign else Value(4),
                None,
                note.span,
                beat.tuplet,
            )
            onset = draft.end
            if isinstance(note, LayerNote):
                draft.typed = note
                stated = self._note(draft, note, stated)
            drafts.append(draft)
            self._before = draft
        self._measure(line, stretch, drafts)
        return drafts

    def rest(self) -> None:
        """A bar in which the line is blank: no tie leads over it."""
        self._before = None

    # --- time --------------------------------------------------------------------------------------------

    def _beats(self, line: LayerLine, stretch: SungStretch) -> list[Beat]:
        if _rests(line):
            return [Beat(stretch.asked[-1], _filling(stretch.asked[-1], self._ratio), False, None)]
        first = line.notes[0] if line.notes else None
        if isinstance(first, LayerNote) and (first.value is None or first.value.edition is None):
            self.found.append(
                Diagnostic(
                    VALUE_MISSING,
                    first.span,
                    f"The first note of line {self.layer.name} in {stretch.name} has no value.",
                    f"For example: 4={_word(first)}; in every bar, even where it goes on as before.",
                )
            )
        beats = enclosed([self._clock.next(_event(note), False) for note in line.notes])
        self._clock.end_bar()
        return beats

    def _measure(self, line: LayerLine, stretch: SungStretch, drafts: list[Draft]) -> None:
        held = sum(draft.length for draft in drafts)
        inner = {bar.end for bar in stretch.bars[:-1]}
        if not stretch.certain or any(isinstance(note, Unread) for note in line.notes):
            return
        if held not in stretch.asked:
            self.found.append(self._off(line, stretch, drafts, held))
            return
        for draft in drafts:
            if any(draft.onset < end < draft.end for end in inner):
                message = f"This note crosses a bar line inside {stretch.name}, for which the source says ditto."
                self.found.append(Diagnostic(LINE_TOO_LONG, draft.span, message, "Type two notes, the second tied: _"))

    def _off(self, line: LayerLine, stretch: SungStretch, drafts: list[Draft], held: Ticks) -> Diagnostic:
        asked = stretch.asked[-1]
        message = (
            f"{self._name} of {stretch.name} holds {_length(held, self._ratio)},"
            f" the bar {_length(asked, self._ratio)} (in the values as typed)."
        )
        label = stretch.bars[0].label
        if held < asked:
            hint = "A value holds until the next: look for one hook too many, or a missing dot or rest."
            return Diagnostic(LINE_TOO_SHORT, line.span, message, hint, bar=label)
        over = next(draft for draft in drafts if draft.end > stretch.onset + asked)
        hint = "A value holds until the next: look for one hook too few, or a dot too many."
        if over.silent and len(drafts) == 1:
            hint = "A rest of a whole bar is typed - alone."
        return Diagnostic(LINE_TOO_LONG, over.span, message, hint, bar=label)

    # --- notes -------------------------------------------------------------------------------------------

    @property
    def _name(self) -> str:
        return f"The line {self.layer.name}"

    def _note(self, draft: Draft, note: LayerNote, stated: bool) -> bool:
        """Pitch, tie and figures; returns whether an octave has been stated in this bar."""
        draft.fermata = any(reading.edition == _FERMATA for group in note.value_marks for reading in group.marks)
        draft.silent = note.pitch is None or note.pitch.act is Act.REMOVED
        if note.pitch is None or note.pitch.edition is None:
            return stated
        typed = note.pitch.edition
        if typed.octave is not None:
            self._octave, stated = typed.octave, True
        elif not stated:
            self._missing_octave(note, typed)
            stated = True
        alter = _ALTER[typed.accidental] if typed.accidental else in_signature(typed.step, self.layer.fifths)
        draft.pitch = SpelledPitch(typed.step, alter, self._octave)
        if note.joined:
            self._join(draft, typed)
        draft.figures = _figures(note, draft)
        return stated

    def _missing_octave(self, note: LayerNote, typed: LayerPitch) -> None:
        self.found.append(
            Diagnostic(
                OCTAVE_MISSING,
                note.span,
                f"The first note of line {self.layer.name} has no octave;"
                f" {typed.step}{typed.accidental}{self._octave} is read.",
                f"For example: {typed.step}{typed.accidental}4; in every bar, even where it goes on as before.",
            )
        )

    def _join(self, draft: Draft, typed: LayerPitch) -> None:
        """A tie to the same note (its accidental goes on without being printed), else a slur."""
        before, pitch = self._before, draft.pitch
        if before is None or before.pitch is None or pitch is None:
            message = "There is no note just before this one to join it to."
            self.found.append(Diagnostic(NOTHING_TO_JOIN, draft.span, message, "Remove the _"))
            return
        same = (before.pitch.step, before.pitch.octave) == (pitch.step, pitch.octave)
        if same and (before.pitch.alter == pitch.alter or not typed.accidental):
            draft.pitch, draft.tied = before.pitch, True
        else:
            draft.slurred = True


def _bar_at(stretch: SungStretch, onset: Ticks) -> int:
    return next((bar.index for bar in stretch.bars if onset < bar.end), stretch.bars[-1].index)


def _event(note: LayerNote | Unread) -> Event:
    """The note as the clock of the tablature takes it."""
    if isinstance(note, Unread):
        return Event(note.span, None, Body.STOPS)
    head = None
    if note.value is not None or note.group is not None:
        head = Head(note.value, note.span, group=note.group, marks=note.value_marks)
    return Event(note.span, head, Body.NOTHING if note.pitch is None else Body.STOPS)


def _rests(line: LayerLine) -> bool:
    """True for a bar of nothing but a rest without a value."""
    note = line.notes[0] if len(line.notes) == 1 else None
    return isinstance(note, LayerNote) and note.pitch is None and note.value is None


def _filling(ticks: Ticks, ratio: Fraction) -> Value:
    """The plain or dotted value nearest below a length, as the source would print it."""
    printed = ticks / ratio
    values = [Value(unit, dots) for unit in (0, 1, 2, 4, 8, 16, 32, 64) for dots in (1, 0)]
    return next((value for value in values if value.ticks <= printed), values[-1])


def _length(ticks: Ticks, ratio: Fraction) -> str:
    return show(int(ticks / ratio))


def _word(note: LayerNote) -> str:
    pitch = note.pitch.edition if note.pitch else None
    return f"{pitch.step}{pitch.accidental}{pitch.octave or ''}" if pitch else "-"


def _figures(note: LayerNote, draft: Draft) -> tuple[Figure, ...]:
    """Columns share the note evenly; under a dotted note the last of two has what the dot adds (common practice,
    no source)."""
    count = len(note.figures)
    if not count:
        return ()
    step = draft.length // count
    if count == 2 and draft.value.dots == 1:
        step = draft.length * 2 // 3
    return tuple(Figure(step * place, rows) for place, rows in enumerate(note.figures))
