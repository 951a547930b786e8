"""Taking the tally, piece by piece as they are done."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping
from pathlib import PurePosixPath

from pipeline.findings.tally.baseline import Baseline
from pipeline.findings.tally.records import FileTally, Key, Log, Noted, Tally
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.record import replace
from pipeline.model.text import SourceText, Span

Rename = Callable[[str], str]
#: The file of a folder that its pieces inherit.
HEADING = "heading.intav"


class Taker:
    """Gathers what a run finds. ``rename`` gives a file, named as shown, its name from the top of the collection;
    ``baseline`` holds what is known, None where nothing is compared; ``files`` is where they are kept, a list
    where nothing is said."""

    def __init__(self, rename: Rename, baseline: Baseline | None = None, files: Log | None = None) -> None:
        self._rename = rename
        self._baseline = baseline
        self._seen: Counter[Key] = Counter()
        self._told: set[Diagnostic] = set()
        self._files: Log = [] if files is None else files

    def take(
        self,
        piece: str,
        found: Iterable[Diagnostic],
        sources: Mapping[str, SourceText],
        *,
        fault: bool = False,
        is_piece: bool = True,
    ) -> tuple[tuple[Diagnostic, ...], tuple[Noted, ...]]:
        """Add a piece, or a folder that could not be looked into, and give its findings back, as shown and as noted.
        A folder's heading is read with every piece under it; what is wrong in it is told once."""
        fresh = tuple(finding for finding in found if finding not in self._told)
        self._told.update(finding for finding in fresh if finding.span.file != piece)
        name = self._rename(piece)
        own: Counter[Key] = Counter()  # a piece is taken once: only a baseline asks for its keys again
        noted = tuple(self._note(finding, sources, name, own) for finding in fresh)
        if self._baseline is not None:
            self._seen.update({key: count for key, count in own.items() if key in self._baseline.counts})
        others = dict.fromkeys(one.key.piece for one in noted if one.key.piece != name)
        for other in others:
            self._files.append(FileTally(other, tuple(one for one in noted if one.key.piece == other), is_piece=False))
        mine = tuple(one for one in noted if one.key.piece == name)
        self._files.append(FileTally(name, mine, is_piece=is_piece, fault=fault))
        return fresh, noted

    def tally(self, exists: Callable[[str], bool]) -> Tally:
        """The whole run. ``exists`` tells whether there still is a file of that name."""
        gone = sorted(self._gone(exists)) if self._baseline is not None else []
        return Tally(self._files, tuple(gone), self._baseline is not None)

    def _note(self, finding: Diagnostic, sources: Mapping[str, SourceText], piece: str, own: Counter[Key]) -> Noted:
        source = sources.get(finding.span.file)
        line = source.line(finding.span.line) if source is not None else ""
        key = Key(self._rename(finding.span.file), finding.code.slug, " ".join(line.split()))
        seen = own if key.piece == piece else self._seen
        seen[key] += 1
        number = seen[key]
        known = self._baseline is not None and not finding.code.fixed and number <= self._baseline.counts.get(key, 0)
        related = tuple(replace(other, span=self._renamed(other.span)) for other in finding.related)
        return Noted(replace(finding, span=self._renamed(finding.span), related=related), key, number, known)

    def _renamed(self, span: Span) -> Span:
        return replace(span, file=self._rename(span.file))

    def _gone(self, exists: Callable[[str], bool]) -> Iterable[tuple[Key, int]]:
        assert self._baseline is not None
        read = _read({file.name for file in self._files if file.is_piece})
        for key, count in self._baseline.counts.items():
            missing = count - self._seen[key]
            if missing > 0 and (read(key.piece) or not exists(key.piece)):
                yield key, missing


def renewed(tally: Tally, before: Baseline, exists: Callable[[str], bool]) -> Baseline:
    """All that this run found, as known; and what ``before`` knows of files that the run did not read and that still
    exist."""
    counts: Counter[Key] = Counter(one.key for one in tally.noted if not one.finding.code.fixed)
    read = _read({file.name for file in tally.files if file.is_piece})
    for key, count in before.counts.items():
        if not read(key.piece) and exists(key.piece):
            counts[key] = count
    return Baseline(dict(counts))


def _read(pieces: Collection[str]) -> Callable[[str], bool]:
    """Whether a run over these pieces read a file: one of them, or a heading of a folder above one."""
    folders = {folder for piece in pieces for folder in PurePosixPath(piece).parents}

    def read(name: str) -> bool:
        return name in pieces or (PurePosixPath(name).name == HEADING and PurePosixPath(name).parent in folders)

    return read
