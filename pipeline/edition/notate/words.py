"""Words in the score: sections, tempi, directions, folios, gaps, words that the source prints."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from fractions import Fraction

from pipeline.edition.notate.footnotes import BarNotes
from pipeline.edition.notate.shown import shown
from pipeline.edition.readings import value_said, with_signs
from pipeline.model.notes import Place
from pipeline.model.record import replace
from pipeline.model.score import BarStyle, Break, Ending, Words, WordsKind
from pipeline.model.signs import Event
from pipeline.model.sounding import SoundingBar, SoundingEvent
from pipeline.model.tablature import BarlineAct, BarlineKind, Directive, DirectiveKind, SourceBreak
from pipeline.model.tempo import Tempo, tempo_of
from pipeline.model.text import Span
from pipeline.source.sing.line import scaled

#: A gap of which nothing is said but its length.
_COUNT = re.compile(r"\d+ bars?")
_DIRECTIONS = {
    DirectiveKind.SECTION: WordsKind.SECTION,
    DirectiveKind.TEMPO: WordsKind.TEMPO,
    DirectiveKind.AGAIN: WordsKind.DIRECTION,
    DirectiveKind.RETUNE: WordsKind.RETUNE,
    DirectiveKind.GAP: WordsKind.GAP,
}


def directive_words(
    directives: tuple[Directive, ...], measure: str, ratio: Fraction, offset: int = 0
) -> Iterator[Words]:
    """The words of the lines between bars, in order; ``ratio`` is what the edition makes of printed values."""
    for number, line in enumerate(directives, start=1):
        kind = _DIRECTIONS.get(line.kind)
        if kind is None:
            continue
        made = Words(f"{measure}w{number}", kind, _text(line), offset, Place.ABOVE, tablature=True)
        yield _with_number(made, tempo_of(line.text), ratio) if line.kind is DirectiveKind.TEMPO else made


def _with_number(words: Words, tempo: Tempo, ratio: Fraction) -> Words:
    """Tempo words with their number spelled out in the edition's values: ``Adagio (crotchet = 60)``."""
    if tempo.value is None:
        return words
    text = tempo.words if words.text.endswith(f"{tempo.count}") else words.text
    number = f"{value_said(scaled(tempo.value, ratio))} = {tempo.count}"
    crotchets = tempo.crotchets(ratio) if tempo.possible(ratio) else 0
    return replace(words, text=f"{text} ({number})" if text else number, crotchets=crotchets)


def retunings(bars: Sequence[SoundingBar]) -> Iterator[tuple[str, str]]:
    """Every retuning within a piece, in words, with the number of the bar before which it stands."""
    for bar in bars[1:]:
        for line in bar.directives:
            if line.kind is DirectiveKind.RETUNE:
                yield _text(line), bar.label or str(bar.index + 1)


def layout_of(directives: Sequence[Directive]) -> Break | None:
    """What the editor asks of the printed line before a bar; of several wishes the last."""
    return next((Break(line.text) for line in reversed(directives) if line.kind is DirectiveKind.LAYOUT), None)


#: Read by everybody; the rest by the player, or beside the source's tablature.
_FOR_EVERYBODY = (WordsKind.SECTION, WordsKind.TEMPO, WordsKind.DIRECTION, WordsKind.GAP)


def over_the_voices(words: Words) -> Words:
    """The words above a song: titles, tempi and directions at the top, the others stay with the tablature."""
    return replace(words, tablature=False, at="") if words.kind in _FOR_EVERYBODY else words


def _text(line: Directive) -> str:
    printed = [note.text for note in line.notes if note.kind.value == "printed word"]
    if printed:
        return "; ".join(printed)
    match line.kind:
        case DirectiveKind.RETUNE:
            return f"Retune {with_signs(line.text.replace(' = ', ' to '))}"
        case DirectiveKind.GAP:
            return f"[{line.text} wanting]" if _COUNT.fullmatch(line.text) else f"[{line.text}]"
        case DirectiveKind.AGAIN:
            return "Da capo" if line.text == "start" else f"{line.text} again"
        case _:
            return line.text


def folios_inside(bar: SoundingBar, measure: str) -> Iterator[Words]:
    """Pages of the source that begin within the bar, at the event that opens them."""
    at = 0
    kept = {one.id: event for event, before in shown(bar) for one in (*before, event)}
    for place, item in enumerate(bar.bar.items):
        if isinstance(item, Event):
            at += 1
        elif isinstance(item, SourceBreak) and 0 < at < len(bar.events) and item.folio:
            event = kept.get(bar.events[at].id, bar.events[at])
            yield Words(
                f"{measure}f{place}",
                WordsKind.FOLIO,
                item.folio,
                event.onset - bar.onset,
                Place.ABOVE,
                tablature=True,
                at=f"g-{event.id}",
            )


def printed_words(bar: SoundingBar, notes: BarNotes, measure: str) -> Iterator[Words]:
    """Words that the source prints at a sign or over the bar."""
    for number, text in enumerate(notes.printed_words_of_bar(), start=1):
        yield Words(f"{measure}p{number}", WordsKind.DIRECTION, text, 0, Place.ABOVE, tablature=True)
    for event, before, breaks in _with_breaks(bar):
        texts = [text for at in breaks for text in notes.printed_at(at.labels)]
        texts += [text for one in (*before, event) for text in notes.printed_words(one.event)]
        for number, text in enumerate(texts, start=1):
            yield Words(
                f"{measure}p-{event.id}-{number}",
                WordsKind.DIRECTION,
                text,
                event.onset - bar.onset,
                Place.ABOVE,
                tablature=True,
                at=f"g-{event.id}",
            )


def _with_breaks(
    bar: SoundingBar,
) -> Iterator[tuple[SoundingEvent, tuple[SoundingEvent, ...], tuple[SourceBreak, ...]]]:
    """The events that stand in the edition, those left out beside each, and the systems and pages that begin there."""
    places: dict[Span, list[SourceBreak]] = {}
    waiting: list[SourceBreak] = []
    for item in bar.bar.items:
        if isinstance(item, SourceBreak):
            waiting.append(item)
        elif isinstance(item, Event):
            places[item.span], waiting = waiting, []
    events = shown(bar)
    for event, before in events:
        breaks = [at for one in (*before, event) for at in places.get(one.event.span, ())]
        yield event, before, (*breaks, *(waiting if event is events[-1][0] else ()))


_RIGHT = {
    BarlineKind.SINGLE: BarStyle.SINGLE,
    BarlineKind.DASHED: BarStyle.DOTTED,
    BarlineKind.DOUBLE: BarStyle.DOUBLE,
    BarlineKind.FINAL: BarStyle.FINAL,
    BarlineKind.REPEAT_END: BarStyle.REPEAT_END,
    BarlineKind.REPEAT_START: BarStyle.SINGLE,
    BarlineKind.REPEAT_BOTH: BarStyle.REPEAT_END,
}
_OPENS = (BarlineKind.REPEAT_START, BarlineKind.REPEAT_BOTH)


def right_style(bar: SoundingBar) -> BarStyle:
    """The line that closes a measure; one that opens a repeat is drawn by the measure after it."""
    closing = bar.bar.closing
    if bar.joins_next or (closing.act is BarlineAct.ADDED and closing.kind is BarlineKind.SINGLE):
        return BarStyle.DASHED
    return _RIGHT[closing.kind]


def left_style(bar: SoundingBar, before: SoundingBar | None) -> BarStyle:
    """The line at the head of a measure: drawn only where a repeat opens."""
    opens = bar.opening is not None and bar.opening.kind in _OPENS
    opens = opens or (before is not None and before.bar.closing.kind in _OPENS)
    return BarStyle.REPEAT_START if opens else BarStyle.NONE


def ending(bar: SoundingBar, before: SoundingBar | None, after: SoundingBar | None) -> Ending | None:
    """The ending that a measure belongs to."""
    if not bar.ending:
        return None
    starts = before is None or before.ending != bar.ending
    ends = after is None or after.ending != bar.ending
    return Ending(bar.ending, starts, ends)
