"""Which pieces are played on one instrument, and at which pitch standard."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass

from pipeline.desk.programme.sheet import Standard
from pipeline.model.instrument import Instrument
from pipeline.model.pitch import CONCERT_A
from pipeline.model.sounding import SoundingPiece


@dataclass(frozen=True, slots=True)
class Kinds:
    """For each piece the place of its instrument in ``names``."""

    of: tuple[int, ...]
    names: tuple[str, ...]


def kinds_of(pieces: Sequence[SoundingPiece]) -> Kinds:
    """Pieces share an instrument if it has as many courses, strings and stopped courses, and either the same name or
    the same tuning of the stopped courses: a ``theorbo in A`` and one ``in G`` cannot be tuned into each other on
    stage, two ways to name one lute can."""
    place: dict[Hashable, int] = {}
    merged: list[int] = []
    of = []
    for piece in pieces:
        known = sorted({_root(merged, place[key]) for key in _keys(piece.heading.instrument) if key in place})
        if not known:
            merged.append(len(merged))
            known = [len(merged) - 1]
        for other in known[1:]:
            merged[other] = known[0]
        place |= dict.fromkeys(_keys(piece.heading.instrument), known[0])
        of.append(known[0])
    roots = [_root(merged, one) for one in of]
    order = list(dict.fromkeys(roots))
    names = tuple(_named(piece for piece, root in zip(pieces, roots, strict=True) if root == one) for one in order)
    return Kinds(tuple(order.index(root) for root in roots), names)


def standards_of(
    pieces: Sequence[SoundingPiece], kinds: Kinds, asked: float | None
) -> tuple[tuple[float, Standard], ...]:
    """For each piece A4 in hertz and where it comes from. A piece that declares none follows the others of its
    instrument: the standard that most of them declare, of equals the first."""
    if asked is not None:
        return ((asked, Standard.ASKED),) * len(pieces)
    declared: dict[int, Counter[float]] = {}
    for piece, kind in zip(pieces, kinds.of, strict=True):
        if piece.heading.pitch is not None:
            declared.setdefault(kind, Counter())[piece.heading.pitch] += 1
    found = []
    for piece, kind in zip(pieces, kinds.of, strict=True):
        if piece.heading.pitch is not None:
            found.append((piece.heading.pitch, Standard.DECLARED))
        elif kind in declared:
            found.append((declared[kind].most_common(1)[0][0], Standard.OTHERS))
        else:
            found.append((CONCERT_A, Standard.NONE))
    return tuple(found)


def _keys(instrument: Instrument) -> tuple[Hashable, Hashable]:
    shape = (instrument.stopped, tuple(len(course.strings) for course in instrument.courses))
    stopped = tuple(
        string.semitones for course in instrument.courses[: instrument.stopped] for string in course.strings
    )
    return ("name", instrument.name.casefold(), shape), ("tuning", stopped, shape)


def _root(merged: Sequence[int], place: int) -> int:
    while merged[place] != place:
        place = merged[place]
    return place


def _named(pieces: Iterable[SoundingPiece]) -> str:
    return " / ".join(dict.fromkeys(piece.heading.instrument.name for piece in pieces))
