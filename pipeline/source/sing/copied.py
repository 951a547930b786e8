"""A line from a notation file laid over the bars of the tablature."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from pipeline.findings.codes.song import LINE_TOO_LONG, LINE_TOO_SHORT, VOICE_FILE_BARS
from pipeline.model.diagnostics import Diagnostic, Outcome
from pipeline.model.heading import Layer
from pipeline.model.record import replace
from pipeline.model.song import PartBook, PartNote
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.text import Span
from pipeline.model.time import Ticks, Value, show
from pipeline.source.sing.drafts import Draft, SungStretch, Word
from pipeline.source.sing.line import scaled

#: So many bars that differ are named one by one.
MOST_BARS = 4
_VALUES = tuple(Value(unit, dots) for unit in (0, 1, 2, 4, 8, 16, 32, 64) for dots in (1, 0))


def copied(part: PartBook, layer: Layer, piece: SoundingPiece, place: Span) -> Outcome[list[Draft]]:
    """The notes of a part, its bars one for one under those of the tablature.

    The file may count in the source's values or in the edition's: the way in which more bars agree is taken. A file
    without bar lines is cut at the tablature's. ``place`` is the heading line, where all findings stand.
    """
    ratio = _ratio(part, piece)
    bars = tuple(tuple(_scaled(note, ratio) for note in bar) for bar in part.bars)
    if not part.barred:
        bars = tuple(tuple(bar) for bar in _cut([note for bar in bars for note in bar], piece.bars))
    found = [*_count(bars, layer, piece, place), *_lengths(bars, layer, piece, place)]
    drafts = [
        draft for bar, notes in zip(piece.bars, bars, strict=False) for draft in _drafts(notes, bar, layer, place)
    ]
    return Outcome(drafts, tuple(found))


def _drafts(notes: tuple[PartNote, ...], bar: SoundingBar, layer: Layer, place: Span) -> Iterator[Draft]:
    onset = bar.onset
    for number, note in enumerate(notes, start=1):
        words = [Word(each.stanza, each.text, each.place, place, extends=each.extends) for each in note.syllables]
        yield Draft(
            f"{layer.name}-b{bar.index + 1}n{number}",
            bar.index,
            onset,
            note.length,
            note.value,
            note.pitch,
            place,
            note.tuplet,
            tied=note.tied,
            slurred=note.slurred,
            fermata=note.fermata,
            words=words,
            silent=note.pitch is None,
            ornaments=note.ornaments,
        )
        onset += note.length


# --- values ----------------------------------------------------------------------------------------------


def _ratio(part: PartBook, piece: SoundingPiece) -> Fraction:
    ratio = piece.heading.values
    if ratio == 1:
        return ratio
    if not part.barred:
        held, asked = _sum(part.bars), sum(bar.length for bar in piece.bars)
        return ratio if abs(held * ratio - asked) < abs(held - asked) else Fraction(1)
    pairs = list(zip(piece.bars, part.bars, strict=False))
    as_it_is = sum(_sum((notes,)) in SungStretch((bar,)).asked for bar, notes in pairs)
    as_printed = sum(_sum((notes,)) * ratio in SungStretch((bar,)).asked for bar, notes in pairs)
    return ratio if as_printed > as_it_is else Fraction(1)


def _sum(bars: tuple[tuple[PartNote, ...], ...]) -> Ticks:
    return sum(note.length for bar in bars for note in bar)


def _scaled(note: PartNote, ratio: Fraction) -> PartNote:
    if ratio == 1:
        return note
    return replace(note, length=int(note.length * ratio), value=scaled(note.value, ratio))


def _cut(notes: list[PartNote], bars: tuple[SoundingBar, ...]) -> list[list[PartNote]]:
    """Notes without bar lines, cut at those of the tablature; what is over stands behind the last one."""
    cut: list[list[PartNote]] = [[]]
    at = bars[0].onset if bars else 0
    ends = [bar.end for bar in bars]
    for whole in notes:
        note = whole
        while len(cut) <= len(ends) and at + note.length > ends[len(cut) - 1]:
            room = ends[len(cut) - 1] - at
            cut[-1].extend(_parts(note, room))
            left = note.length - room
            syllables = () if room else note.syllables
            note = replace(note, length=left, tied=bool(room) and note.pitch is not None, syllables=syllables)
            at += room
            cut.append([])
        cut[-1].extend(_parts(note, note.length))
        at += note.length
        if len(cut) <= len(ends) and at == ends[len(cut) - 1]:
            cut.append([])
    while cut and not cut[-1]:
        cut.pop()
    return cut


def _parts(note: PartNote, length: Ticks) -> Iterator[PartNote]:
    """The note, or its first ``length`` ticks, in plain and dotted values tied together."""
    if not length:
        return
    if length == note.value.ticks or note.tuplet is not None:
        yield replace(note, length=length)
        return
    first = True
    while length:
        value = next((value for value in _VALUES if value.ticks <= length), _VALUES[-1])
        taken = min(value.ticks, length)
        tied = note.pitch is not None and (note.tied or not first)
        yield replace(note, length=taken, value=value, tied=tied, syllables=note.syllables if first else ())
        length -= taken
        first = False


# --- checks ----------------------------------------------------------------------------------------------


def _count(
    bars: tuple[tuple[PartNote, ...], ...], layer: Layer, piece: SoundingPiece, place: Span
) -> Iterator[Diagnostic]:
    here, there = len(piece.bars), len(bars)
    if here == there:
        return
    message = f"{layer.file} has {_bars(there)}, the tablature {here}."
    left = f"; the last {_bars(there - here)} of the file are left out" if there > here else ""
    hint = f"They are aligned from the first bar on{left}."
    yield Diagnostic(VOICE_FILE_BARS, place, message, hint)


def _bars(count: int) -> str:
    return f"{count} bar{'' if count == 1 else 's'}"


def _lengths(
    bars: tuple[tuple[PartNote, ...], ...], layer: Layer, piece: SoundingPiece, place: Span
) -> Iterator[Diagnostic]:
    off: list[tuple[SungStretch, Ticks]] = []
    for bar, notes in zip(piece.bars, bars, strict=False):
        stretch, held = SungStretch((bar,)), _sum((notes,))
        if stretch.certain and held not in stretch.asked:
            off.append((stretch, held))
    for stretch, held in off[:MOST_BARS]:
        asked = stretch.asked[-1]
        code = LINE_TOO_SHORT if held < asked else LINE_TOO_LONG
        message = f"{layer.file} holds {show(held)} in {stretch.name}, the tablature {show(asked)}."
        yield Diagnostic(
            code, place, message, "A bar line or a bar may be missing before it.", bar=stretch.bars[0].label
        )
    if len(off) > MOST_BARS:
        message = f"{_bars(len(off) - MOST_BARS)} more differ in length between {layer.file} and the tablature."
        yield Diagnostic(VOICE_FILE_BARS, place, message)
