"""The records of a run: what every report for machines is written from."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from pipeline.model.diagnostics import Diagnostic, Severity


@dataclass(frozen=True, slots=True, order=True)
class Key:
    """What a finding is known by, wherever its line moves to: the file, the kind of finding, and what is typed in the
    line (which is its bar), white space put in order."""

    piece: str
    code: str
    line: str

    @property
    def fingerprint(self) -> str:
        """128 bits of SHA-256, hexadecimal."""
        text = "\0".join((self.piece, self.code, self.line))
        return hashlib.sha256(text.encode(errors="replace")).hexdigest()[:32]


@dataclass(frozen=True, slots=True)
class Noted:
    """One finding. Its places name files from the top of the collection; ``number`` counts, from 1, the findings that
    have the same key; ``known`` says that the baseline holds it."""

    finding: Diagnostic
    key: Key
    number: int
    known: bool = False

    @property
    def fails(self) -> bool:
        """True if the run cannot end well because of it."""
        return not self.known and self.finding.severity is Severity.ERROR

    @property
    def fingerprint(self) -> str:
        return f"{self.key.fingerprint}:{self.number}"


@dataclass(frozen=True, slots=True)
class FileTally:
    """One file: a piece, or a folder's heading in which something was found, or a folder that could not be looked into.
    ``fault`` says that the program broke down on it."""

    name: str
    noted: tuple[Noted, ...] = ()
    is_piece: bool = True
    fault: bool = False

    @property
    def failing(self) -> tuple[Noted, ...]:
        return tuple(one for one in self.noted if one.fails)


@dataclass(frozen=True, slots=True)
class Tally:
    """A whole run, in the order of the pieces. ``gone`` are known findings that occur no more, each with how often it
    is missing; ``compared`` says that there was a baseline at all."""

    files: tuple[FileTally, ...]
    gone: tuple[tuple[Key, int], ...] = ()
    compared: bool = False

    @property
    def noted(self) -> tuple[Noted, ...]:
        return tuple(one for file in self.files for one in file.noted)

    @property
    def pieces(self) -> int:
        return sum(file.is_piece for file in self.files)

    def count(self, severity: Severity) -> int:
        """How many findings of that severity are not known."""
        return sum(not one.known and one.finding.severity is severity for one in self.noted)

    @property
    def known(self) -> int:
        return sum(one.known for one in self.noted)
