"""From the sounding piece to its suspicious places, in order, each with its likeliest mends."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import exp

from pipeline.desk.misprints.proposal import Slip, Suspicion
from pipeline.desk.misprints.search.context import Context, Passages, context_of, passages_of
from pipeline.desk.misprints.search.edits import Rewriting, line_missing, line_too_many, read_stop, read_value
from pipeline.desk.misprints.search.habits import RhythmHabits, habits_of
from pipeline.desk.misprints.search.judge import learned
from pipeline.desk.misprints.search.prints import other_prints
from pipeline.desk.misprints.search.reasons import MOST, of_sign, of_stop
from pipeline.desk.misprints.search.signs import SignSlip, SuspectBar, suspect_bars
from pipeline.desk.misprints.search.stops import StopSlip, SuspectStop, suspect_stops, weighed_against
from pipeline.desk.misprints.search.weights import SIGNS
from pipeline.model.instrument import Instrument
from pipeline.model.record import replace
from pipeline.model.sounding import SoundingBar, SoundingPiece

#: Ways to mend one place that are told, and the least chance of one that is not the first.
MOST_WAYS, LEAST = 3, 0.02
#: From what chance on the other source's note is proposed.
DIFFERS = 0.5


def misprints(piece: SoundingPiece, siblings: Sequence[SoundingPiece] = ()) -> tuple[Suspicion, ...]:
    """Every suspicious place, in order of the piece, the ways to mend it by rank.

    ``siblings`` are other pieces of the folder: what they have of the same passages counts as evidence. ``typed`` and
    ``proposed`` of a suspicion are the sign alone. Linear in the length of the piece. Never raises.
    """
    places = [*_of_signs(piece), *_of_stops(piece, siblings)]
    places.sort(key=lambda ways: (ways[0].bar, ways[0].span))
    return tuple(
        replace(way, place=number, rank=rank)
        for number, ways in enumerate(places)
        for rank, way in enumerate(ways, start=1)
    )


# --- signs and bar lines ---------------------------------------------------------------------------------


def _of_signs(piece: SoundingPiece) -> Iterator[list[Suspicion]]:
    habits = habits_of(piece.bars)
    for suspect, scores in suspect_bars(piece.bars, habits, SIGNS):
        if not scores:
            continue
        top = max(scores)
        shares = [exp(score - top) for score in scores]
        total = sum(shares)
        ranked = sorted(zip(shares, suspect.slips, strict=True), key=lambda pair: -pair[0])
        yield [
            _sign(piece, suspect, slip, habits, share / total)
            for number, (share, slip) in enumerate(ranked[:MOST_WAYS])
            if not number or share / total >= LEAST
        ]


def _sign(piece: SoundingPiece, suspect: SuspectBar, slip: SignSlip, habits: RhythmHabits, chance: float) -> Suspicion:
    event = slip.event
    bar = slip.bars[0] if slip.slip is Slip.BAR_LINE_EXTRA else _bar_of(slip)
    change = _sign_change(slip)
    first = change.edits[0] if change.edits else None
    return Suspicion(
        slip.slip,
        bar.index,
        bar.label,
        event.id,
        "",
        event.event.span,
        first.before if first else "",
        first.after if first else "",
        change.edits,
        chance,
        of_sign(piece, suspect, slip, habits),
        by_hand=change.by_hand,
    )


def _bar_of(slip: SignSlip) -> SoundingBar:
    """The bar in which the sign stands, of several that the editor's lines join."""
    left = slip.number
    for bar in slip.bars:
        if left <= len(bar.events):
            return bar
        left -= len(bar.events)
    return slip.bars[-1]


def _sign_change(slip: SignSlip) -> Rewriting:
    match slip.slip:
        case Slip.BAR_LINE_EXTRA:
            return line_too_many(slip.bars[0], slip.bars[1])
        case Slip.BAR_LINE_MISSING:
            return line_missing(slip.bars[0], slip.number)
        case Slip.SIGN_EXTRA:
            return read_value(slip.event.event, None)
        case _:
            return read_value(slip.event.event, slip.value)


# --- stops -----------------------------------------------------------------------------------------------


def _of_stops(piece: SoundingPiece, siblings: Sequence[SoundingPiece]) -> Iterator[list[Suspicion]]:
    context = context_of(piece)
    if context is None:
        return
    others = [found for found in map(context_of, _alike(piece, siblings)) if found is not None]
    passages = passages_of([context, *others])
    apart = passages_of(others) if others else Passages()
    known = [
        (suspect.row, list(_stop(piece, context, apart, suspect)))
        for suspect in suspect_stops(context, passages, piece.tablature.signs, learned())
    ]
    yield from _with_other_prints(known, list(_of_prints(piece, context, siblings)))


def _of_prints(
    piece: SoundingPiece, context: Context, siblings: Sequence[SoundingPiece]
) -> Iterator[tuple[int, Suspicion]]:
    """Where another source of the piece has a different note that is the likelier of the two."""
    found = list(other_prints(piece, context, siblings))
    alone = passages_of([context])  # what the other source has is asked already
    weighed = weighed_against(context, alone, learned(), [(one.row, one.other) for one in found])
    for one, slip in zip(found, weighed, strict=True):
        if slip.chance >= DIFFERS:
            said = f"{one.name.rpartition('/')[2]} has the same music, and this note in it"
            suspicion = _of_stop(piece, context, Passages(), slip)
            yield one.row, replace(suspicion, reasons=(said, *suspicion.reasons[: MOST - 1]))


def _with_other_prints(
    known: list[tuple[int, list[Suspicion]]], prints: list[tuple[int, Suspicion]]
) -> Iterator[list[Suspicion]]:
    """One place for each stop, its ways by chance; what is proposed for both reasons is proposed once, as the likelier
    of the two."""
    ways = {row: list(found) for row, found in known}
    for row, suspicion in prints:
        same = [way for way in ways.get(row, ()) if way.edits == suspicion.edits]
        chance = max([suspicion.chance, *(way.chance for way in same)])
        others = [way for way in ways.get(row, ()) if way.edits != suspicion.edits]
        ways[row] = sorted([replace(suspicion, chance=chance), *others], key=lambda way: -way.chance)[:MOST_WAYS]
    yield from ways.values()


def _alike(piece: SoundingPiece, siblings: Sequence[SoundingPiece]) -> Iterator[SoundingPiece]:
    """The siblings on the same stopped courses, themselves and no copies of the piece."""
    wanted = _fingerboard(piece.heading.instrument)
    for sibling in siblings:
        if sibling.tablature.name != piece.tablature.name and _fingerboard(sibling.heading.instrument) == wanted:
            yield sibling


def _fingerboard(instrument: Instrument) -> tuple[int, ...]:
    return tuple(course.pitch.semitones for course in instrument.courses[: instrument.stopped])


def _stop(piece: SoundingPiece, context: Context, apart: Passages, suspect: SuspectStop) -> Iterator[Suspicion]:
    for number, slip in enumerate(suspect.slips[:MOST_WAYS]):
        if number and slip.chance < LEAST:
            return
        yield _of_stop(piece, context, apart, slip)


def _of_stop(piece: SoundingPiece, context: Context, apart: Passages, slip: StopSlip) -> Suspicion:
    place = int(context.event[slip.row])
    bar, event, stop = context.bars[place], context.events[place], context.stops[slip.row]
    change = read_stop(bar.bar, stop, slip.other.course, slip.other.fret, piece.tablature.signs)
    first = change.edits[0] if change.edits else None
    typed = (stop.course, stop.fret)
    figures = context.figures
    others = tuple(other for other in figures[place] if other != typed)
    around = (figures[place - 1] if place else (), others, figures[place + 1] if place + 1 < len(figures) else ())
    siblings = apart.counts(*around, (slip.other.course, slip.other.fret))[0]
    return Suspicion(
        slip.other.slip,
        bar.index,
        bar.label,
        event.id,
        stop.id,
        stop.stop.span,
        first.before if first else "",
        first.after if first else "",
        change.edits,
        slip.chance,
        of_stop(context, slip.row, slip.other, siblings),
        by_hand=change.by_hand,
    )
