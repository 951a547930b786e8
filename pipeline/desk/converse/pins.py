"""Pins as changes of the text: the editor's own reading of a stop, written as it would have been typed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pipeline.desk.converse.at import here
from pipeline.desk.converse.look import Look
from pipeline.desk.converse.record import Fix, FixKind, Insight, NoteSaid, TextChange
from pipeline.desk.misprints.accepting import free_letter, last_line
from pipeline.findings.codes.reading import OCTAVE_DOUBTFUL
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.record import replace
from pipeline.model.signs import Stop
from pipeline.model.tablature import Bar, NoteKind, NoteLine, Pin
from pipeline.model.text import Span
from pipeline.source import encoded

#: More voices than this no pin can name.
MOST_VOICES = 9


def pins_at(look: Look, insight: Insight, line: int, column: int) -> Iterator[Fix]:
    """The other readings of the stop at a place: its octave, and each other voice."""
    found = here(look.piece, line, column)
    if found is None or found.typed is None or found.stop is None or found.stop.held:
        return
    note = next((one for one in insight.notes if one.stop == found.stop.id), None)
    if note is None:
        return
    for title, pin in _other_readings(note):
        yield from _fix(look, title, pin, [(found.bar.bar, found.typed)])


def answers(look: Look, finding: Diagnostic) -> Iterator[Fix]:
    """The two answers to the question whether a line is meant an octave higher, for all the stops that it speaks of."""
    if finding.code is not OCTAVE_DOUBTFUL:
        return
    spans = (finding.span, *(other.span for other in finding.related))
    stops = [found for span in spans if (found := _typed_at(look, span)) is not None]
    for title, octave in (("an octave up", 1), ("as it sounds", 0)):
        for fix in _fix(look, f"Pin: the line is meant {title}", Pin(octave=octave), stops):
            yield replace(fix, code=finding.code.slug, span=finding.span)


def _other_readings(note: NoteSaid) -> Iterator[tuple[str, Pin]]:
    up = note.meant != note.name
    yield (
        (f"Pin: meant as it sounds, {note.name}", Pin(octave=0))
        if up
        else (
            f"Pin: meant an octave above {note.name}",
            Pin(octave=1),
        )
    )
    for voice in range(1, min(note.voices, MOST_VOICES) + 1):
        if voice != note.voice:
            yield f"Pin: voice {voice} of {note.voices}", Pin(voice=voice)


def _typed_at(look: Look, span: Span) -> tuple[Bar, Stop] | None:
    found = here(look.piece, span.line, span.start)
    return None if found is None or found.typed is None else (found.bar.bar, found.typed)


def _fix(look: Look, title: str, pin: Pin, stops: Sequence[tuple[Bar, Stop]]) -> Iterator[Fix]:
    """One change for all bars; none where a bar has no letter left."""
    bars: dict[Span, tuple[Bar, list[Stop]]] = {}
    for bar, stop in stops:
        bars.setdefault(bar.span, (bar, []))[1].append(stop)
    changes: list[TextChange] = []
    for bar, inside in bars.values():
        made = _pinned(look, bar, inside, pin)
        if made is None:
            return
        changes += made
    if changes:
        yield Fix(title, FixKind.PIN, tuple(changes))


def _pinned(look: Look, bar: Bar, stops: Sequence[Stop], pin: Pin) -> list[TextChange] | None:
    """A pin that stands already is added to; else the stops get a letter that is free, and the bar a note line."""
    if len(stops) == 1:
        known = _pin_of(bar, stops[0])
        if known is not None and known.pin is not None:
            return [_added(known, known.pin, pin)]
    letter = free_letter(bar)
    if not letter:
        return None
    changes = [_insertion(*_behind(stop), f'"{letter}') for stop in stops]
    line = last_line(bar)
    changes.append(_insertion(line, len(look.source.line(line)) + 1, f'\n"{letter} > {encoded.pin(pin)}'))
    return changes


def _pin_of(bar: Bar, stop: Stop) -> NoteLine | None:
    """The pin that a stop has, if it shares it with no other."""
    letters = {label.letter for label in stop.labels}
    found = next((note for note in bar.notes if note.kind is NoteKind.PIN and note.label in letters), None)
    if found is None:
        return None
    used = [other for event in bar.events for other in event.stops for one in other.labels if one.letter == found.label]
    return found if len(used) == 1 else None


def _added(note: NoteLine, old: Pin, new: Pin) -> TextChange:
    merged = Pin(
        new.voice if new.voice is not None else old.voice,
        new.octave if new.octave is not None else old.octave,
        old.lasts,
        old.lasts_to,
    )
    span = note.span
    return TextChange(span.line, span.start, span.line, span.end, f'"{note.label} > {encoded.pin(merged)}')


def _behind(stop: Stop) -> tuple[int, int]:
    """Where a label stands: behind the sign and its labels, before the marks."""
    if stop.labels:
        return stop.span.line, stop.labels[-1].span.end
    return stop.span.line, stop.marks[0].span.start if stop.marks else stop.span.end


def _insertion(line: int, column: int, text: str) -> TextChange:
    return TextChange(line, column, line, column, text)
