"""What a cover sheet says."""

from __future__ import annotations

from dataclasses import dataclass

from pipeline.desk.programme.sheet import Move, Programme, ProgrammePiece


@dataclass(frozen=True, slots=True)
class Tuned:
    """How the player's instrument is tuned for the set. ``since`` says in words from which tuning ``moves`` start;
    ``programme`` is the piece by itself, as a retuning sheet has it."""

    since: str
    moves: tuple[Move, ...]
    programme: Programme
    #: Which diapasons are declared, read or only usual, in words; empty where the tuning is that of a moving.
    known: str

    @property
    def piece(self) -> ProgrammePiece:
        return self.programme.pieces[0]


@dataclass(frozen=True, slots=True)
class Person:
    """Who has what: ``files`` are pairs of a path from the cover sheet and what lies there."""

    name: str
    files: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Cover:
    """A cover sheet. ``facts`` are rows of a name and what it is (key, pitch …); ``decided`` are sentences. Nothing is
    said twice."""

    title: str
    composer: str
    facts: tuple[tuple[str, str], ...]
    persons: tuple[Person, ...]
    tuned: Tuned
    decided: tuple[str, ...]
