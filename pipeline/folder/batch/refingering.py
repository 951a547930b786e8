"""Pieces moved to another key or instrument, each into a text of its own."""

from __future__ import annotations

import os
import traceback
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from pipeline.desk.move.record import Asked, Letters, There
from pipeline.findings.codes.song import RANGE_TOO_NARROW
from pipeline.folder.batch.work import broken_down
from pipeline.folder.batch.writing import cannot_write
from pipeline.folder.files import (
    SUFFIX,
    PieceFile,
    collection_of,
    headings_above,
    may_exist,
    opened,
    read_file,
    read_texts,
    read_voice_file,
    write_source,
)
from pipeline.model.diagnostics import Diagnostic, Severity
from pipeline.model.interval import UNISON, Interval, Refused, best_transposition
from pipeline.model.limits import FILE_BYTES
from pipeline.model.pitch import SpelledPitch
from pipeline.model.presets import Preset, find_preset
from pipeline.model.record import replace
from pipeline.model.signs import Signs
from pipeline.model.text import SourceText, Span

if TYPE_CHECKING:
    from pipeline.desk.move.record import Moved
    from pipeline.model.sounding import SoundingPiece
    from pipeline.source.read import Read


@dataclass(frozen=True, slots=True)
class Wanted:
    """What all pieces are moved to, and into which folder. ``keep`` is an earlier moving that the player has changed;
    ``letters`` says what chord letters name. ``voice_range``, in place of ``interval``, moves each piece to where its
    sung lines suit a voice. ``over`` allows a file there to be replaced that holds another text."""

    out: Path
    interval: Interval = UNISON
    preset: Preset | None = None
    signs: Signs | None = None
    keep: PieceFile | None = None
    over: bool = False
    letters: Letters | None = None
    voice_range: tuple[SpelledPitch, SpelledPitch] | None = None


@dataclass(frozen=True, slots=True)
class Refingered:
    """What became of one piece. ``path`` is where its moved text lies, None if it was not written; ``tunings`` are the
    diapasons to be tuned for it, as typed in a heading; ``sources`` are the texts that the findings speak of;
    ``errors`` counts those that the piece has itself, ``occupied`` is the file there that holds another text, ``unfit``
    says that it suits no voice of the range, ``refused`` why the text that was to be kept cannot be."""

    name: str
    path: Path | None
    diagnostics: tuple[Diagnostic, ...]
    sources: tuple[SourceText, ...] = ()
    tunings: tuple[str, ...] = ()
    errors: int = 0
    unfit: bool = False
    refused: str = ""
    occupied: Path | None = None
    fault: str = ""


def refinger_all(pieces: Sequence[PieceFile], wanted: Wanted) -> Iterator[Refingered]:
    """Every piece moved, in order. Whatever is wrong with one becomes its findings."""
    return (_safely(piece, wanted) for piece in pieces)


def _safely(piece: PieceFile, wanted: Wanted) -> Refingered:
    try:
        return _refinger(piece, wanted)
    except Exception:
        made = broken_down(piece.name, traceback.format_exc())
        return Refingered(piece.name, None, made.diagnostics, fault=made.fault)


def _refinger(piece: PieceFile, wanted: Wanted) -> Refingered:
    # Imported late: refusing files must not wait for the reading.
    from pipeline.desk.move.moving import move  # noqa: PLC0415
    from pipeline.edition.leading import led  # noqa: PLC0415
    from pipeline.source.declare import files_named  # noqa: PLC0415
    from pipeline.source.read import read_piece  # noqa: PLC0415

    texts = read_texts(piece)
    if not texts.usable:
        return Refingered(piece.name, None, texts.diagnostics, texts.sources, errors=1)
    files = {name: read_voice_file(piece, name) for name in files_named((*texts.inherited, texts.text.source))}
    read = read_piece(texts.text.source, texts.inherited, files)
    grave = tuple(one for one in read.settled(*texts.diagnostics) if one.severity is Severity.ERROR)
    if grave:
        return Refingered(piece.name, None, grave, texts.sources, errors=len(grave))
    interval = _interval(read, wanted)
    if isinstance(interval, Refused):
        place = Span(piece.name, 1, 1, 1)
        refused = Diagnostic(
            RANGE_TOO_NARROW, place, f"{interval.message}.", f"{interval.hint[:1].upper()}{interval.hint[1:]}"
        )
        return Refingered(piece.name, None, (refused,), texts.sources, unfit=True)
    reading = led(read.sounding, read.song)
    target = wanted.out / piece.place.with_name(piece.place.name + SUFFIX)
    there = _there(piece, target, files_named((*texts.inherited, texts.text.source)))
    asked = _asked(read, wanted, interval)
    if isinstance(asked, str):
        return Refingered(piece.name, None, (), refused=asked)
    moved = move(reading.value, asked, piece.name, there)
    known = {one.code.slug for one in read.settled(*texts.diagnostics, *reading.diagnostics)}
    own = _own(moved, target, there, known)
    sources = (*texts.sources, SourceText.of(target.as_posix(), moved.text), *there.headings)
    done = Refingered(piece.name, target, (*moved.diagnostics, *own), sources, _tuned(moved))
    return _written(done, target, moved.text.encode(), over=wanted.over)


def _asked(read: Read, wanted: Wanted, interval: Interval) -> Asked | str:
    """What is asked of this piece: where nothing but the signs changes, every stop stays on its course. Or why the text
    to be kept cannot be."""
    instrument = read.sounding.heading.instrument
    asked = Asked(interval, wanted.preset, wanted.signs, None, wanted.letters)
    if wanted.keep is not None:
        there = wanted.preset.name if wanted.preset is not None else instrument.name
        kept = _kept(wanted.keep, there)
        return kept if isinstance(kept, str) else replace(asked, keep=kept)
    if interval == UNISON and not asked.changes(instrument):
        return replace(asked, keep=read.sounding)
    return asked


def _kept(keep: PieceFile, instrument: str) -> SoundingPiece | str:
    """The text to be kept, or why it cannot be: it has errors, or is for another instrument."""
    from pipeline.source.read import sounding_piece  # noqa: PLC0415  as above

    texts = read_texts(keep)
    found = sounding_piece(texts.text.source, texts.inherited) if texts.usable else None
    if found is None or any(one.severity is Severity.ERROR for one in found.diagnostics):
        return f"{keep.name} has errors; longneck check shows them"
    other = found.value.heading.instrument.name
    return found.value if other == instrument else f"{keep.name} is for {other}, not for {instrument}"


def _interval(read: Read, wanted: Wanted) -> Interval | Refused:
    """By how much the piece is moved: as asked, or to where its sung lines suit a voice."""
    if wanted.voice_range is None:
        return wanted.interval
    sung = [note.pitch for line in read.song.lines if not line.bass for note in line.notes if note.pitch is not None]
    if not sung:
        return Refused("No line of the piece is sung", "Say the interval: --transpose")
    low, high = (end(sung, key=lambda pitch: pitch.semitones) for end in (min, max))
    key = read.sounding.heading.key
    return best_transposition(low, high, *wanted.voice_range, key.fifths if key is not None else 0)


def _there(piece: PieceFile, target: Path, files: Sequence[str]) -> There:
    """What holds where the moved text is to lie."""
    moved = PieceFile(target, target.as_posix(), piece.place)
    above = {heading.path.resolve(): heading for heading in headings_above(piece)}
    here = headings_above(moved)
    shared = frozenset(above[heading.path.resolve()].name for heading in here if heading.path.resolve() in above)
    sources = tuple(read_file(heading.path, heading.name).source for heading in here)
    folder = piece.path.resolve().parent
    inside = collection_of(target.parent.resolve())

    def path(typed: str) -> str | None:
        if folder == target.parent.resolve():
            return typed
        whole = (folder / typed).resolve()
        if inside is None or not whole.is_relative_to(inside):
            return None
        return Path(os.path.relpath(whole, target.parent.resolve())).as_posix()

    led_to = {found: read_voice_file(piece, name) for name in files if (found := path(name)) is not None}
    return There(sources, shared, path, led_to)


def _own(moved: Moved, target: Path, there: There, known: set[str]) -> tuple[Diagnostic, ...]:
    """What is found in the moved text that is of no kind found in its source."""
    from pipeline.edition.leading import check_piece  # noqa: PLC0415  as above

    text = SourceText.of(target.as_posix(), moved.text)
    found = check_piece(text, there.headings, there.files)
    return tuple(one for one in found if one.code.slug not in known)


def _tuned(moved: Moved) -> tuple[str, ...]:
    """The diapasons that are tuned otherwise than in the source or, on another instrument, than is usual for it."""
    before, after = moved.tunings.before[0], moved.tunings.after[0]
    preset = find_preset(after.name)
    usual = preset.instrument if preset is not None and before.name != after.name else before
    return tuple(
        f"{course.number} = {'+'.join(string.name for string in course.strings)}"
        for course in after.courses[after.stopped :]
        if usual.course(course.number) != course
    )


def _written(done: Refingered, target: Path, data: bytes, *, over: bool) -> Refingered:
    try:
        if may_exist(target):
            with opened(target) as stream:
                before = stream.read(FILE_BYTES + 1)
            if before == data:
                return done
            if not over:
                return replace(done, path=None, diagnostics=(), occupied=target)
        write_source(target, data)
    except OSError as error:
        return replace(done, path=None, diagnostics=(*done.diagnostics, cannot_write(done.name, target, error)))
    return done
