"""Two encodings of a piece, or two folders of them, read and held against each other."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from pipeline.desk.compare.content import PieceContent
from pipeline.desk.compare.contents import content_of
from pipeline.desk.compare.differ import differences
from pipeline.desk.compare.difference import Comparison, Difference, Group
from pipeline.desk.compare.sound import Sounded, by_sound
from pipeline.edition.leading import led
from pipeline.edition.spell import spell
from pipeline.folder.files import NoSuchPieceError, PieceFile, discover, is_folder, read_texts, read_voice_file
from pipeline.model.diagnostics import Diagnostic, Severity
from pipeline.model.text import SourceText
from pipeline.source.declare import files_named
from pipeline.source.read import read_piece, sounding_piece


@dataclass(frozen=True, slots=True)
class Paired:
    """A piece of the first path and that of the second; one of them may be missing. ``place`` is its path in both."""

    place: str
    one: PieceFile | None
    two: PieceFile | None


@dataclass(frozen=True, slots=True)
class Compared:
    """Two pieces compared. ``comparison`` is None if a file cannot be read at all; ``diagnostics`` then say why, and
    ``sources`` are the texts that they speak of."""

    comparison: Comparison | None
    diagnostics: tuple[Diagnostic, ...] = ()
    sources: tuple[SourceText, ...] = ()


def paired(one: Path, two: Path) -> tuple[Paired, ...]:
    """Two pieces as one pair, whatever they are called; two folders as pairs of what has the same path under both, in
    the order of the paths. Raises NoSuchPieceError."""
    left, right = discover([one]), discover([two])
    for path, found in ((one, left), (two, right)):
        if not found:
            raise NoSuchPieceError(f"there is no piece in {path.as_posix()}")
    if not is_folder(one) and not is_folder(two):
        return (Paired(left[0].name, left[0], right[0]),)
    before = {piece.path.relative_to(one).as_posix(): piece for piece in left}
    after = {piece.path.relative_to(two).as_posix(): piece for piece in right}
    return tuple(Paired(place, before.get(place), after.get(place)) for place in sorted({*before, *after}))


def compare_pieces(one: PieceFile, two: PieceFile, *, readings: bool = False) -> Compared:
    """What differs between two pieces: the music, and with ``readings`` what is read into it. Whatever is wrong with
    a file is told, never raised."""
    left, right = _read(one, readings=readings), _read(two, readings=readings)
    if left.content is None or right.content is None:
        unusable = [read for read in (left, right) if read.content is None]
        said = tuple(finding for read in unusable for finding in read.diagnostics)
        return Compared(None, said, tuple(source for read in unusable for source in read.sources))
    found = differences(left.content, right.content)
    remarks = tuple(dict.fromkeys(remark for remark in (_errors(left), _errors(right)) if remark))
    title = left.title or right.title
    return Compared(Comparison(one.name, two.name, title, tuple(_wanted(found, readings)), remarks))


@dataclass(frozen=True, slots=True)
class ComparedSound:
    """Two pieces compared by what sounds; ``sounded`` is None if a file cannot be read at all, as in ``Compared``."""

    sounded: Sounded | None
    diagnostics: tuple[Diagnostic, ...] = ()
    sources: tuple[SourceText, ...] = ()


def compare_sounds(one: PieceFile, two: PieceFile) -> ComparedSound:
    """What differs in the sound of two pieces, but for a move of the whole. Whatever is wrong with a file is told."""
    read = [(piece, read_texts(piece)) for piece in (one, two)]
    unusable = [texts for _, texts in read if not texts.usable]
    if unusable:
        said = tuple(finding for texts in unusable for finding in texts.diagnostics)
        return ComparedSound(None, said, tuple(source for texts in unusable for source in texts.sources))
    left, right = (sounding_piece(texts.text.source, texts.inherited).value for _, texts in read)
    return ComparedSound(by_sound(left, right, (one.name, two.name)))


def _wanted(found: tuple[Difference, ...], readings: bool) -> Iterator[Difference]:
    return (one for one in found if readings or one.kind.group is not Group.READING)


@dataclass(frozen=True, slots=True)
class _Read:
    name: str
    content: PieceContent | None
    diagnostics: tuple[Diagnostic, ...]
    sources: tuple[SourceText, ...]
    title: str = ""


def _read(piece: PieceFile, *, readings: bool) -> _Read:
    texts = read_texts(piece)
    if not texts.usable:
        return _Read(piece.name, None, texts.diagnostics, texts.sources)
    files = {name: read_voice_file(piece, name) for name in files_named((*texts.inherited, texts.text.source))}
    read = read_piece(texts.text.source, texts.inherited, files)
    voiced = spell(led(read.sounding, read.song).value) if readings else None
    content = content_of(read.sounding, read.song, voiced)
    return _Read(piece.name, content, read.settled(*texts.diagnostics), texts.sources, read.sounding.heading.title)


def _errors(read: _Read) -> str:
    """A comparison of what is not read rightly is worth less: say so."""
    errors = sum(finding.severity is Severity.ERROR for finding in read.diagnostics)
    if not errors:
        return ""
    return (
        f"{read.name} has {errors} error{'' if errors == 1 else 's'}; what cannot be read is compared letter by letter."
    )
