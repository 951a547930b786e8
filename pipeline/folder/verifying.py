"""Artefacts that are kept, held against a new build of their pieces.

The new build is made in a folder that is thrown away, by the same road as any build, with the options that the record
of the kept one names. What is kept may have been spoiled by anyone: whatever it holds is told, never raised.
"""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from pipeline.desk.compare.content import FindingContent, PieceContent
from pipeline.desk.compare.contents import NotEventsError, NotFindingsError, recall_content, recall_findings
from pipeline.desk.compare.differ import differences
from pipeline.desk.compare.difference import Comparison, Difference, Verified
from pipeline.findings.codes.files import CANNOT_WRITE
from pipeline.folder.batch import Crew, Done, build_all
from pipeline.folder.cache import RECORD, UnknownOptionsError, fingerprint, options_read, read_record, versions
from pipeline.folder.cache.record import LARGEST as LARGEST_RECORD
from pipeline.folder.files import PieceFile, artefacts_in, exists, is_folder, opened, reason, whole_of, write_artefacts
from pipeline.model.artefacts import EVENTS, FINDINGS, PROOF
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.options import Keep, Options
from pipeline.model.record import replace

#: Bytes of an artefact that is compared by what it holds; those of a piece of 5,000 bars stay below.
LARGEST = 256 * 2**20
#: What the names of copied images begin with.
IMAGES = "facsimile-"
_USUAL = "built again with the usual options"

__all__ = ["Kept", "accept", "kept", "not_renewed", "verify_all"]


@dataclass(frozen=True, slots=True)
class Kept:
    """How the artefacts of a piece were built. ``notes`` say what is not known of it, or has changed since;
    ``recorded`` is False if nothing is known. ``hashes`` are those of all that was made, if only
    its record is kept."""

    piece: PieceFile
    options: Options
    notes: tuple[str, ...] = ()
    recorded: bool = True
    hashes: Mapping[str, str] | None = None


def kept(piece: PieceFile, out: Path) -> Kept:
    """What the record in the piece's folder says; the usual options where there is none. Never raises."""
    folder = out / piece.place
    try:
        with opened(folder / RECORD) as stream:
            record = read_record(stream.read(LARGEST_RECORD + 1))
    except OSError:
        return Kept(piece, Options(), (f"there is no {RECORD}: {_USUAL}",) if is_folder(folder) else (), recorded=False)
    if record is None:
        return Kept(piece, Options(), (f"{RECORD} cannot be read: {_USUAL}",), recorded=False)
    notes = tuple(_changes(record.versions))
    try:
        options = options_read(record.options)
        return Kept(piece, options, notes, hashes=record.artefacts if record.light else None)
    except UnknownOptionsError as error:
        told = f"{RECORD} names options that this version does not know ({error}): {_USUAL}"
        return Kept(piece, Options(), (told, *notes), recorded=False)


def _changes(then: Mapping[str, str]) -> Iterator[str]:
    now = versions()
    changed = [f"{name} {then[name]} → {now[name]}" for name in now if then.get(name, now[name]) != now[name]]
    if changed:
        yield f"kept from other versions: {', '.join(changed)}"


def verify_all(
    pieces: Sequence[PieceFile], out: Path, crew: Crew | None = None, proofs: Path | None = None
) -> Iterator[Verified]:
    """Each piece built again, elsewhere, and compared with what lies in its folder under ``out``. Pieces that were
    built with the same options come together, in the order in which they are given. Nothing under ``out`` is touched.
    With ``proofs`` the new proof page of a piece that changed is kept there, in a folder of its own; one that lies
    there of a piece that did not change is taken away.
    """
    for options, group in _by_options(kept(piece, out) for piece in pieces):
        with tempfile.TemporaryDirectory(prefix="longneck-") as folder:
            again = Path(folder)
            whole = replace(options, keep=Keep.ALL)
            done = build_all([one.piece for one in group], again, whole, crew, index=False)
            for one, made in zip(group, done, strict=True):
                verified = _verified(one, made, out / one.piece.place, again / one.piece.place)
                if proofs is not None:
                    verified = _with_proof(verified, again / one.piece.place, proofs / one.piece.place)
                yield verified


def _with_proof(verified: Verified, made: Path, kept: Path) -> Verified:
    """Keep the proof page of a changed piece, with its images; if it cannot be, that is said beside the music."""
    wanted = [path for path in artefacts_in(made) if path.name == PROOF or path.name.startswith(IMAGES)]
    try:
        if not verified.same and wanted:
            write_artefacts(kept, [(path.name, whole_of(path)) for path in wanted])
        elif exists(kept / PROOF):
            (kept / PROOF).unlink()
    except OSError as error:
        said = f"{kept.as_posix()} cannot be written ({reason(error)}): the new proof page is not kept"
        return replace(verified, notes=(*verified.notes, said))
    return verified


def accept(
    pieces: Sequence[PieceFile],
    every: Sequence[Verified],
    out: Path,
    crew: Crew | None,
    waits: Callable[[], None],
) -> Iterator[Done]:
    """Renew what is kept of the pieces that are not as kept, or whose record is lost: build into ``out``, with the
    options of the records. What is as kept stays untouched, and what could not be built for comparison."""
    changed = {one.comparison.one for one in every if not one.unbuilt and (one.unrecorded or not one.same)}
    wanted = [kept(piece, out) for piece in pieces if piece.name in changed]
    for options, group in _by_options(wanted):
        yield from build_all([one.piece for one in group], out, options, crew, waits)


def not_renewed(done: Done) -> tuple[Diagnostic, ...]:
    """Why a renewed piece is not as it would be built; empty if it is."""
    refused = tuple(finding for finding in done.diagnostics if finding.code is CANNOT_WRITE)
    return refused or (done.diagnostics if done.unbuilt else ())


def _by_options(every: Iterable[Kept]) -> list[tuple[Options, list[Kept]]]:
    groups: dict[Options, list[Kept]] = {}
    for one in every:
        groups.setdefault(one.options, []).append(one)
    return list(groups.items())


def _verified(one: Kept, made: Done, before: Path, after: Path) -> Verified:
    if made.unbuilt:
        return _unbuilt(one, made, before)
    if one.hashes is not None and [path.name for path in artefacts_in(before)] == [FINDINGS]:
        return _verified_by_hash(one, one.hashes, made, before, after)
    names_before, names_after = ([path.name for path in artefacts_in(folder)] for folder in (before, after))
    missing = tuple(name for name in names_after if name not in names_before)
    extra = tuple(name for name in names_before if name not in names_after)
    both = [name for name in names_before if name in names_after]
    otherwise = tuple(name for name in both if not _same_bytes(before / name, after / name))
    if names_before:
        found, remarks = _compared(before, after, otherwise, missing)
    else:
        found, remarks = (), ("no edition of this piece is kept",)
    comparison = Comparison(made.name, made.name, made.title, found, remarks)
    return Verified(
        comparison, before.as_posix(), missing, extra, otherwise, notes=one.notes, unrecorded=not one.recorded
    )


def _verified_by_hash(one: Kept, hashes: Mapping[str, str], made: Done, before: Path, after: Path) -> Verified:
    """Of a piece whose record alone is kept: every file made again, held against the hash of the one that was made; and
    the findings, which lie there."""
    now = {path.name: path for path in artefacts_in(after)}
    otherwise = [name for name, path in now.items() if name in hashes and fingerprint(whole_of(path)) != hashes[name]]
    if FINDINGS not in otherwise and not _same_bytes(before / FINDINGS, after / FINDINGS):
        otherwise.append(FINDINGS)
    remarks: tuple[str, ...] = ()
    if EVENTS in otherwise:
        remarks = ("only the record is kept: what differs in the music cannot be said",)
    comparison = Comparison(made.name, made.name, made.title, (), remarks)
    missing = tuple(sorted(now.keys() - hashes.keys()))
    extra = tuple(sorted(hashes.keys() - now.keys()))
    return Verified(comparison, before.as_posix(), missing, extra, tuple(otherwise), notes=one.notes)


def _unbuilt(one: Kept, made: Done, before: Path) -> Verified:
    """Nothing came of the new build: what is kept cannot be held against anything."""
    why = [finding for finding in made.diagnostics if finding.code.fixed]
    said = tuple(f"{finding.code.slug}: {finding.message}" for finding in why)
    comparison = Comparison(made.name, made.name, made.title, (), said)
    return Verified(comparison, before.as_posix(), fault=made.fault, notes=one.notes, unbuilt=True)


def _compared(
    before: Path, after: Path, otherwise: Sequence[str], missing: Sequence[str]
) -> tuple[tuple[Difference, ...], tuple[str, ...]]:
    """What differs in the music and in the findings, and what keeps that from being said."""
    if EVENTS in missing:
        return (), (f"{EVENTS} is missing: the bars cannot be compared",)
    if not {EVENTS, FINDINGS} & set(otherwise):
        return (), ()
    remarks: list[str] = []
    one, two = _content(before / EVENTS, remarks), _content(after / EVENTS, remarks)
    if one is None or two is None:
        return (), tuple(remarks)
    found_one, found_two = _findings(before / FINDINGS, remarks), _findings(after / FINDINGS, remarks)
    if found_one is None or found_two is None:
        found_one = found_two = ()
    return differences(one, two, found_one, found_two), tuple(remarks)


def _content(path: Path, remarks: list[str]) -> PieceContent | None:
    try:
        return recall_content(_bytes(path))
    except (OSError, NotEventsError) as error:
        said = reason(error) if isinstance(error, OSError) else str(error)
        remarks.append(f"{path.as_posix()} {said}: the bars cannot be compared")
        return None


def _findings(path: Path, remarks: list[str]) -> tuple[FindingContent, ...] | None:
    try:
        return recall_findings(_bytes(path))
    except (OSError, NotFindingsError) as error:
        said = reason(error) if isinstance(error, OSError) else str(error)
        remarks.append(f"{path.as_posix()} {said}: the findings cannot be compared")
        return None


def _bytes(path: Path) -> bytes:
    """Raises OSError, also for a file that is too large to be one of ours."""
    if path.stat().st_size > LARGEST:
        raise OSError(0, f"holds more than {LARGEST // 2**20} MB")
    return whole_of(path)


def _same_bytes(one: Path, two: Path) -> bool:
    try:
        return one.stat().st_size == two.stat().st_size and whole_of(one) == whole_of(two)
    except OSError:
        return False
