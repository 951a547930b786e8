"""The records of a run: what every report for machines is written from."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Protocol

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


class Log(Protocol):
    """The files of a run: a list, or, of a large one, something on the disk."""

    def append(self, file: FileTally, /) -> None: ...

    def __iter__(self) -> Iterator[FileTally]: ...

    def __getitem__(self, place: int, /) -> FileTally: ...


@dataclass(frozen=True, slots=True)
class Tally:
    """A whole run, in the order of the pieces. ``gone`` are known findings that occur no more, each with how often it
    is missing; ``compared`` says that there was a baseline at all. The files of a large run are read from the disk each
    time that they are asked for, so nobody should keep more than one."""

    files: Log
    gone: tuple[tuple[Key, int], ...] = ()
    compared: bool = False

    @property
    def noted(self) -> Iterator[Noted]:
        return (one for file in self.files for one in file.noted)

    def totals(self) -> Totals:
        """What there is of everything, in one pass."""
        counts = dict.fromkeys(Severity, 0)
        several: Counter[str] = Counter()
        for file in self.files:
            several["pieces"] += file.is_piece
            several["found"] += bool(file.noted)
            several["faults"] += file.fault
            several["failures"] += bool(file.failing) and not file.fault
            for one in file.noted:
                several["known"] += one.known
                several["failing"] += one.fails
                counts[one.finding.severity] += not one.known
        names = ("pieces", "known", "found", "failing", "failures", "faults")
        return Totals(counts, *(several[name] for name in names))


@dataclass(frozen=True, slots=True)
class Totals:
    """``counts`` are findings that are not known, by severity, ``known`` the others; ``found`` are files with findings,
    ``failing`` findings that fail the run, ``failures`` files that have some, ``faults`` files that the program broke
    down on."""

    counts: Mapping[Severity, int]
    pieces: int
    known: int
    found: int
    failing: int
    failures: int
    faults: int
