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
class Cover:
    """A cover sheet. ``facts`` are rows of a name and what it is (key, pitch …); ``folders`` are for each person the
    name of the folder, who it is for, and what lies in it; ``decided`` are sentences. Nothing is said twice."""

    title: str
    composer: str
    facts: tuple[tuple[str, str], ...]
    folders: tuple[tuple[str, str, str], ...]
    tuned: Tuned
    decided: tuple[str, ...]
