"""What a cover sheet says on whatever it is written."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.desk.cover.record import Cover, Tuned
from pipeline.desk.programme.writers import words

TITLE = "For the rehearsal"
TUNING = "Tuning"
DECIDED = "What was decided"
CAUTIONS = "Before you turn a peg"


def head_of(cover: Cover) -> str:
    """The title of the piece."""
    return cover.title or "Untitled"


def moving(tuned: Tuned) -> str:
    """The head of what is to be retuned."""
    return f"From {tuned.since}"


def known(tuned: Tuned) -> Iterator[str]:
    """Where the tuning is from; the pitch itself is among the facts."""
    yield tuned.known
    yield words.going_back(tuned.piece)


def turns_pegs(tuned: Tuned) -> bool:
    """Whether a string moves for the set, so that the cautions are needed."""
    return bool(tuned.moves) or any(inside.moves for inside in tuned.piece.inside)
