"""The plain rule for voices and lengths.

Bass: the note on the lowest course of a chord, and every diapason. Upper part: the highest note of the rest,
and lone notes that lie nearer to it than to the bass. The rest: chords. A note rings until its voice moves,
its course is struck again or a rest is printed; over a bar line only where its voice then moves by step, as
a suspension does, or along a hold line.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pipeline.edition.lead.bells import bells
from pipeline.edition.lead.parts import Stroke, with_parts
from pipeline.edition.lead.strokes import Struck, closed, silences
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.time import Ticks
from pipeline.model.voiced import Decided, LedNote, LedPiece, Part

METHOD = (
    "Voices by the plain rule: the lowest course is the bass, the highest-running line the upper part, "
    "the rest chords. A note rings until its voice moves or its course is struck again."
)
_VOICE = {Part.UPPER: 1, Part.MIDDLE: 2, Part.BASS: 3}
_NEVER: Ticks = 1 << 62
#: The largest step, in semitones.
_STEP = 2


def chords_and_lines(piece: SoundingPiece, struck: Sequence[Struck]) -> LedPiece:
    """Give every sound its part and its length by the plain rule; pinned readings are followed."""
    found = with_parts(struck)
    _move_held(found)
    _lengthen(found, piece)
    _even_chords(found)
    notes = sorted(
        (_note(stroke) for stroke in found),
        key=lambda note: (note.onset, note.voice, -note.stop.pitch, note.stop.course),
    )
    return LedPiece(piece, tuple(notes), len(_VOICE), bells(notes), METHOD)


def _move_held(found: list[Stroke]) -> None:
    """A note whose hold line outlasts the next note of the upper part cannot be the upper part itself."""
    next_upper: Ticks = _NEVER
    for stroke in reversed(found):
        if stroke.part is not Part.UPPER:
            continue
        if stroke.struck.held_to > next_upper and not stroke.voice_pinned:
            stroke.part = Part.MIDDLE
        else:
            next_upper = stroke.onset


@dataclass(slots=True)
class _Walls:
    """For each bar: where its ringing must end, and where it may ring to if its voice moves on there."""

    own: list[Ticks]
    next: list[Ticks]


def _walls(bars: tuple[SoundingBar, ...]) -> _Walls:
    own = [0] * len(bars)
    following = [0] * len(bars)
    for bar in reversed(bars):
        at = bar.index
        after = bars[at + 1] if at + 1 < len(bars) else None
        if after is not None and bar.joins_next:
            own[at], following[at] = own[at + 1], following[at + 1]
            continue
        own[at] = bar.end
        open_on = after is not None and not closed(bar, after)
        following[at] = own[at + 1] if open_on else bar.end
    return _Walls(own, following)


def _lengthen(found: list[Stroke], piece: SoundingPiece) -> None:
    walls = _walls(piece.bars)
    rests = silences(piece)
    silence: Ticks = _NEVER
    next_of_part: dict[Part, Stroke] = {}
    next_on_course: dict[int, Ticks] = {}
    at = len(found)
    while at > 0:
        first = at - 1
        onset = found[first].onset
        while first > 0 and found[first - 1].onset == onset:
            first -= 1
        while rests and rests[-1] > onset:
            silence = rests.pop()
        for stroke in found[first:at]:
            struck = next_on_course.get(stroke.stop.course, _NEVER)
            after = next_of_part.get(stroke.part)
            stroke.longest = min(struck, silence, after.onset if after else piece.bars[-1].end) - onset
            end = stroke.struck.pinned_to or _end(stroke, after, walls)
            stroke.length = min(stroke.longest, end - onset)
        for stroke in found[first:at]:
            next_of_part[stroke.part] = stroke
            next_on_course[stroke.stop.course] = onset
        at = first


def _end(stroke: Stroke, after: Stroke | None, walls: _Walls) -> Ticks:
    """Where a note ends if nothing but its own voice and the bar stops it."""
    event, bar = stroke.struck.event, stroke.struck.bar.index
    if event.sign is None:
        return event.onset + event.length
    horizon = walls.own[bar]
    moves = _NEVER if after is None else after.onset
    if horizon < moves < walls.next[bar] and after is not None and _suspended(stroke, after):
        horizon = moves
    return min(moves, max(horizon, stroke.struck.held_to))


def _suspended(stroke: Stroke, after: Stroke) -> bool:
    """An outer part may ring over a bar line into a step, in measured music."""
    step = abs(after.stop.pitch - stroke.stop.pitch)
    return stroke.part is not Part.MIDDLE and after.struck.event.sign is not None and 0 < step <= _STEP


def _even_chords(found: list[Stroke]) -> None:
    """The notes of one chord in one part are written with one length: the shortest of them."""
    shortest: dict[tuple[Ticks, Part], Ticks] = {}
    for stroke in found:
        key = (stroke.onset, stroke.part)
        length = shortest.get(key)
        shortest[key] = stroke.length if length is None or stroke.length < length else length
    for stroke in found:
        stroke.length = shortest[(stroke.onset, stroke.part)]


def _note(stroke: Stroke) -> LedNote:
    decided = Decided.RULE if stroke.struck.pin is None else Decided.EDITOR
    stop = stroke.stop
    return LedNote(stop.id, stop, stroke.onset, stroke.length, _VOICE[stroke.part], stroke.part, decided)
