"""What may be misprints in a piece, each with a short name to call it by."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from hashlib import sha256

from pipeline.desk.misprints.proposal import Edit, Proposal, Slip, Suspicion
from pipeline.desk.misprints.search import misprints
from pipeline.model.record import replace
from pipeline.model.sounding import SoundingPiece
from pipeline.model.text import SourceText, Span

__all__ = ["proposals_of"]

#: Letters of a name: none that is taken for another.
_LETTERS = "23456789abcdefghjkmnpqrstuvwxyz"
_SHORT, _LONG = 5, 8


def proposals_of(
    source: SourceText, piece: SoundingPiece, siblings: Sequence[SoundingPiece] = ()
) -> tuple[Proposal, ...]:
    """Every suspicious place of a piece, in order, with the ways to mend it by rank.

    ``source`` is the text that ``piece`` was read from; ``siblings`` are other pieces of the folder, whose passages
    count as evidence. ``typed`` and ``proposed`` of each are whole words. Pure, linear, never raises.
    """
    found = [_in_words(source, piece, suspicion) for suspicion in misprints(piece, siblings)]
    bars = _bars_as_typed(source, piece)
    digests = [_digest(source, bars, suspicion) for suspicion in found]
    short = Counter(digest[:_SHORT] for digest in digests)
    return tuple(
        Proposal(digest[: _SHORT if short[digest[:_SHORT]] == 1 else _LONG], suspicion)
        for digest, suspicion in zip(digests, found, strict=True)
    )


# --- words and names -------------------------------------------------------------------------------------


def _in_words(source: SourceText, piece: SoundingPiece, suspicion: Suspicion) -> Suspicion:
    """The suspicion with the whole word that it concerns, as typed and as proposed."""
    bar = piece.bars[suspicion.bar]
    number = next(n for n, event in enumerate(bar.events) if event.id == suspicion.event)
    word = bar.events[number].event.span
    match suspicion.slip:
        case Slip.BAR_LINE_EXTRA:
            return replace(suspicion, span=_closing(source, bar.events[-1].event.span), typed="|", proposed="!|")
        case Slip.BAR_LINE_MISSING:
            before = source.at(bar.events[number - 1].event.span)
            typed = f"{before} {source.at(word)}"
            return replace(suspicion, span=word, typed=typed, proposed=f"{before} |! {source.at(word)}")
        case _:
            typed = source.at(word)
            inside = [edit for edit in suspicion.edits if _within(edit.span, word)]
            proposed = _applied(typed, word, inside)
            return replace(suspicion, span=word, typed=typed, proposed=proposed, marked=suspicion.span)


def _closing(source: SourceText, last: Span) -> Span:
    """The place behind the last event of a bar, where its line ends."""
    return Span(source.name, last.line, last.end, last.end)


def _within(span: Span, word: Span) -> bool:
    return span.line == word.line and word.start <= span.start and span.end <= word.end


def _applied(text: str, word: Span, edits: Iterable[Edit]) -> str:
    for edit in sorted(edits, key=lambda edit: -edit.span.start):
        begin, end = edit.span.start - word.start, edit.span.end - word.start
        text = text[:begin] + edit.after + edit.tail + text[end:]
    return text


def _bars_as_typed(source: SourceText, piece: SoundingPiece) -> list[str]:
    """The words of each bar, and how often the same stood before; white space and bar numbers left out."""
    seen: Counter[str] = Counter()
    found = []
    for bar in piece.bars:
        words = " ".join(source.at(event.event.span) for event in bar.events)
        found.append(f"{words} {seen[words]}")
        seen[words] += 1
    return found


def _digest(source: SourceText, bars: Sequence[str], suspicion: Suspicion) -> str:
    """A name that follows from the file's own name, the bar as typed, the place in it and the change."""
    number = suspicion.event.rpartition("e")[2]
    said = (
        source.name.rpartition("/")[2],
        bars[suspicion.bar],
        suspicion.slip.name,
        number,
        suspicion.stop.removeprefix(suspicion.event)[1:],
        *(f"{edit.before}>{edit.after}{edit.tail}" for edit in suspicion.edits),
    )
    left = int.from_bytes(sha256("\n".join(said).encode()).digest()[:8])
    letters = []
    for _ in range(_LONG):
        left, rest = divmod(left, len(_LETTERS))
        letters.append(_LETTERS[rest])
    return "".join(letters)
