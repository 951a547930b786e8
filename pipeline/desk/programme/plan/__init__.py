"""A programme: the pieces of a concert, what must be retuned between them, the order with the fewest retunings.

Nothing is counted between two instruments: while one is played, the other keeps the tuning of its last piece.

The order with the fewest retunings is found by dynamic programming over subsets, for an open path with asymmetric costs
(a piece may end in another tuning than it began), up to 14 places. The cost is one whole number: strings first, then
tenths of a cent. Where there are more pieces, those of one tuning are stacked first: strings and ways are metrics, so a
detour is never shorter. Beyond that, nearest-neighbour starts are improved by moving and turning stretches, and the
sheet says that the order is not proven.
"""

from __future__ import annotations

from collections.abc import Sequence

from pipeline.desk.programme.plan.instruments import kinds_of, standards_of
from pipeline.desk.programme.plan.moves import between, cost, position
from pipeline.desk.programme.plan.order import MOST_EXACT, best_order, good_order
from pipeline.desk.programme.plan.tunings import tuned_piece
from pipeline.desk.programme.sheet import Changeover, Method, Programme, ProgrammePiece
from pipeline.model.sounding import SoundingPiece

__all__ = ["programme"]


def programme(
    pieces: Sequence[tuple[str, SoundingPiece]], *, pitch: float | None = None, fewest: bool = False
) -> Programme:
    """The programme of these pieces, (file name, piece) in concert order.

    ``pitch`` (A4 in hertz) holds for all, whatever they declare. With ``fewest`` the pieces are put in the order in
    which the fewest strings move, of equals that in which they go the shortest way, then that nearest to the order
    given. Which instrument is played when stays: the pieces of each change places among themselves.
    """
    kinds = kinds_of([piece for _, piece in pieces])
    standards = standards_of([piece for _, piece in pieces], kinds, pitch)
    tuned = tuple(
        tuned_piece(piece, name, given, kind, standard)
        for given, ((name, piece), kind, standard) in enumerate(zip(pieces, kinds.of, standards, strict=True), start=1)
    )
    as_given = sum(len(change.moves) for change in _changes(tuned))
    played, method = _reordered(tuned, len(kinds.names)) if fewest else (tuned, Method.GIVEN)
    return Programme(played, tuple(_changes(played)), kinds.names, method, as_given)


def _changes(pieces: Sequence[ProgrammePiece]) -> list[Changeover]:
    last: dict[int, int] = {}
    changes = []
    for place, piece in enumerate(pieces):
        since = last.get(piece.instrument)
        last[piece.instrument] = place
        if since is None:
            changes.append(Changeover(None))
            continue
        before = pieces[since]
        standard = None if before.a4 == piece.a4 else (before.a4, piece.a4)
        changes.append(Changeover(since, between(before, piece), standard))
    return changes


def _reordered(pieces: Sequence[ProgrammePiece], instruments: int) -> tuple[tuple[ProgrammePiece, ...], Method]:
    played = list(pieces)
    method = Method.PROVEN
    for instrument in range(instruments):
        places = [place for place, piece in enumerate(pieces) if piece.instrument == instrument]
        ordered, proven = _fewest([pieces[place] for place in places])
        method = method if proven else Method.SEARCHED
        for place, piece in zip(places, ordered, strict=True):
            played[place] = piece
    return tuple(played), method


def _fewest(pieces: Sequence[ProgrammePiece]) -> tuple[list[ProgrammePiece], bool]:
    """The pieces of one instrument in the best order, and whether no other has fewer retunings."""
    stacks = [[piece] for piece in pieces] if len(pieces) <= MOST_EXACT else _alike(pieces)
    costs = [[cost(one[-1], other[0]) for other in stacks] for one in stacks]
    exact = len(stacks) <= MOST_EXACT
    order = best_order(costs) if exact else good_order(costs)
    return [piece for place in order for piece in stacks[place]], exact


def _alike(pieces: Sequence[ProgrammePiece]) -> list[list[ProgrammePiece]]:
    """Pieces of one tuning, which they keep or come back to, in one stack. That costs nothing: strings and ways add
    up, so that a detour over another tuning is never shorter."""
    stacks: dict[tuple[int, ...], list[ProgrammePiece]] = {}
    alone: list[list[ProgrammePiece]] = []
    for piece in pieces:
        if _positions(piece, after=False) == _positions(piece, after=True):
            stacks.setdefault(_positions(piece, after=False), []).append(piece)
        else:
            alone.append([piece])
    return sorted([*stacks.values(), *alone], key=lambda stack: stack[0].given)


def _positions(piece: ProgrammePiece, *, after: bool) -> tuple[int, ...]:
    courses = piece.after if after else piece.courses
    return tuple(position(string, piece.a4) for course in courses for string in course.strings)
