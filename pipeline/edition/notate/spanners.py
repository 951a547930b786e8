"""Everything that reaches from one sign to another: slurs, hold lines, arpeggios, dashes, brackets."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pipeline.edition.notate.drafts import head_id
from pipeline.edition.notate.signs import EventMarks, StopMarks
from pipeline.model.arpeggio import spread
from pipeline.model.heading import ArpeggioOrder
from pipeline.model.instrument import Instrument
from pipeline.model.score import AcrossBracket, Arpeggio, Dashes, HoldLine, Slur, SlurKind
from pipeline.model.signs import Slur as TypedSlur
from pipeline.model.sounding import SoundingEvent, SoundingPiece, SoundingStop
from pipeline.model.voiced import Part, VoicedNote, VoicedPiece

_KINDS = {
    TypedSlur.PRINTED: SlurKind.PRINTED,
    TypedSlur.ADDED: SlurKind.ADDED,
    TypedSlur.DOUBTFUL: SlurKind.DOUBTFUL,
}


@dataclass(slots=True)
class _Run:
    """A chain of slurred stops on one course."""

    start: SoundingStop
    end: SoundingStop
    kind: SlurKind


def slurs(piece: SoundingPiece) -> dict[int, list[Slur]]:
    """Bar index → the slurs that begin in it, each twice: in the tablature and in the staves.

    Notes that are slurred one after another on a course stand under one slur.
    """
    found: dict[int, list[Slur]] = {}
    last: dict[int, tuple[SoundingStop, int]] = {}
    open_runs: dict[int, tuple[_Run, int]] = {}
    for bar in piece.bars:
        for event in bar.events:
            for stop in event.stops:
                if stop.held:
                    continue
                kind = _KINDS.get(stop.stop.slur) if stop.slurred and stop.stop.slur else None
                _extend(found, last, open_runs, stop, kind)
                last[stop.course] = (stop, bar.index)
    for run, bar_index in open_runs.values():
        _draw(found, run, bar_index)
    return found


def _extend(
    found: dict[int, list[Slur]],
    last: dict[int, tuple[SoundingStop, int]],
    open_runs: dict[int, tuple[_Run, int]],
    stop: SoundingStop,
    kind: SlurKind | None,
) -> None:
    running = open_runs.get(stop.course)
    if running is not None and running[0].kind is kind:
        running[0].end = stop
        return
    if running is not None:
        _draw(found, *open_runs.pop(stop.course))
    before = last.get(stop.course)
    if kind is not None and before is not None:
        open_runs[stop.course] = (_Run(before[0], stop, kind), before[1])


def _draw(found: dict[int, list[Slur]], run: _Run, bar: int) -> None:
    start, end = run.start.id, run.end.id
    found.setdefault(bar, []).extend(
        (
            Slur(f"st-{end}", f"t-{start}", f"t-{end}", run.kind, tablature=True),
            Slur(f"sn-{end}", head_id(start, 1), head_id(end, 1), run.kind, tablature=False),
        )
    )


def holds(piece: SoundingPiece) -> dict[int, list[HoldLine]]:
    """Bar index → the hold lines that begin in it. One line runs from the struck figure to the last event
    that it reaches."""
    found: dict[int, list[HoldLine]] = {}
    struck: dict[int, tuple[SoundingStop, int]] = {}
    reached: dict[int, str] = {}

    def draw(course: int) -> None:
        if course in reached:
            stop, bar_index = struck[course]
            line = HoldLine(f"h-{stop.id}", f"t-{stop.id}", f"g-{reached.pop(course)}")
            found.setdefault(bar_index, []).append(line)

    for bar in piece.bars:
        for event in bar.events:
            for stop in event.stops:
                if stop.held and stop.course in struck:
                    reached[stop.course] = event.id
                elif not stop.held:
                    draw(stop.course)
                    struck[stop.course] = (stop, bar.index)
    for course in sorted(reached):
        draw(course)
    return found


def arpeggio(event: SoundingEvent, marks: EventMarks, instrument: Instrument, rule: ArpeggioOrder) -> Arpeggio | None:
    """The wavy line of an event: ÷, lines through the chord, or stops set one after another."""
    found = spread(event, instrument)
    if found is None:
        return None
    heads = tuple(head_id(stop.id, 1) for stop in sorted(found.fingers, key=lambda stop: stop.pitch))
    order = tuple(head_id(stop.id, 1) for stop in found.chosen(rule))
    mixed = bool(found.typed) and order not in (heads, heads[::-1])
    downwards = order == heads[::-1] or (mixed and heads.index(order[0]) > heads.index(order[-1]))
    return Arpeggio(
        f"a-{event.id}",
        heads,
        order,
        direction="down" if downwards else "up",
        plain_spread=marks.spread and not marks.arpeggio,
        mixed=mixed,
        event=event.id,
    )


def lines_on(event: SoundingEvent, marks: dict[str, StopMarks], after: SoundingEvent | None) -> Iterator[HoldLine]:
    """Printed lines from a stop to the next one of the chord, or to the next event."""
    for place, stop in enumerate(event.stops):
        if stop.id in marks and marks[stop.id].line_on:
            if place + 1 < len(event.stops):
                yield HoldLine(f"l-{stop.id}", f"t-{stop.id}", f"t-{event.stops[place + 1].id}")
            elif after is not None:
                yield HoldLine(f"l-{stop.id}", f"t-{stop.id}", f"g-{after.id}")


def dashes(piece: VoicedPiece) -> dict[int, list[Dashes]]:
    """Onset → dashed lines into and out of runs that are meant an octave off their sound.

    Only within a bar: over a bar line they would run along stems, and a bracket shows where the run begins and ends.
    """
    bar_of = {event.onset: bar.index for bar in piece.sounding.bars for event in bar.events}
    found: dict[int, list[Dashes]] = {}
    before: dict[int, VoicedNote] = {}
    for (voice, onset), note in _tops(piece).items():
        last = before.get(voice)
        before[voice] = note
        if last is None or _shift(last) == _shift(note) or bar_of.get(last.led.onset) != bar_of.get(onset):
            continue
        if last.led.onset + last.led.length == onset:
            line = Dashes(f"d-{note.led.id}", head_id(last.led.id, 1), head_id(note.led.id, 1))
            found.setdefault(last.led.onset, []).append(line)
    return found


def _tops(piece: VoicedPiece) -> dict[tuple[int, int], VoicedNote]:
    """Voice and moment → the note that its line goes through there: the highest as it is meant. Inner chords have no
    line."""
    found: dict[tuple[int, int], VoicedNote] = {}
    for note in piece.notes:
        led = note.led
        other = found.get((led.voice, led.onset))
        if led.part is not Part.MIDDLE and (other is None or _meant(note) > _meant(other)):
            found[led.voice, led.onset] = note
    return found


def _meant(note: VoicedNote) -> int:
    return note.spelling.semitones + 12 * _shift(note)


def _shift(note: VoicedNote) -> int:
    restored = note.led.restored
    return 0 if restored is None or restored.asked else restored.octaves


def brackets(piece: VoicedPiece) -> dict[str, AcrossBracket]:
    """First stop id → the bracket over a bell-like scale."""
    return {first: AcrossBracket(f"k-{first}", head_id(first, 1), head_id(last, 1)) for first, last in piece.led.bells}
