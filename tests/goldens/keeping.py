"""Which goldens there are, what they should hold, what they hold."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from difflib import unified_diff
from pathlib import Path

from lxml import etree

from pipeline.edition.copies import copy_of, moved_as_asked
from pipeline.edition.leading import led
from pipeline.edition.notate import notate
from pipeline.edition.spell import spell
from pipeline.folder.batch.reading import Reader, with_files
from pipeline.folder.files import PieceFile, decoded, discover
from pipeline.model.artefacts import Form
from pipeline.model.options import Options
from pipeline.model.text import SourceText
from pipeline.piece import build_piece
from pipeline.source.read import read_piece
from tests.dump import dump

FIXTURES = Path(__file__).parent.parent.parent / "fixtures"
KEPT = Path(__file__).parent / "kept"


def pieces() -> dict[str, PieceFile]:
    """Every piece that has a golden, by the golden's name."""
    found = {}
    for folder in ("anthology", "faulty"):
        root = FIXTURES / folder
        for file in discover([root]):
            name = file.path.relative_to(FIXTURES).with_suffix("").as_posix()
            found[name.replace("/", "-")] = file
    return found


def golden(file: PieceFile) -> str:
    """The text that a piece's golden should hold: its edition, singer’s copy, digests of what is written, findings."""
    parcel = with_files(Reader().parcel(file), file)
    text, heads = decoded(parcel.text).source, tuple(decoded(raw).source for raw in parcel.headings)
    read = read_piece(text, heads, {one.name: one for one in parcel.files}, {one.name: one for one in parcel.images})
    reading = led(read.sounding)
    voiced = spell(reading.value)
    options = Options(copy=True)
    moved = moved_as_asked(voiced, read.song, options)
    found = read.settled(*reading.diagnostics, *moved.diagnostics)
    lines = ["= edition", *dump(notate(voiced, read.song))]
    lines += ["= singer's copy", *dump(copy_of(moved, options))]
    lines += ["= written", *_written(text, heads)]
    lines += ["= findings"]
    lines += [f"{one.severity.value} {one.code.slug} {one.span.line}:{one.span.start} {one.message}" for one in found]
    return "\n".join(lines) + "\n"


def _written(text: SourceText, heads: tuple[SourceText, ...]) -> Iterator[str]:
    """A digest of each measure as MusicXML and MEI, of each part of the events, and of what is left of each file."""
    options = Options(forms=(Form.MUSICXML, Form.MEI, Form.EVENTS))
    for name, content in build_piece(text, heads, options).artefacts:
        if not name.endswith((".musicxml", ".mei", ".xml")):
            continue
        root = etree.fromstring(content)
        measures = list(root.iterfind(".//{*}measure")) or list(root)
        digests = [_digest(measure) for measure in measures]
        for measure in measures:
            parent = measure.getparent()
            assert parent is not None
            parent.remove(measure)
        yield f"{name}: {_digest(root)} {' '.join(digests)}"


def _digest(element: etree._Element) -> str:
    return hashlib.sha256(etree.tostring(element, with_tail=False)).hexdigest()[:8]


def path_of(name: str) -> Path:
    """Where a golden is kept."""
    return KEPT / f"{name}.txt"


def orphans() -> list[str]:
    """Goldens that no piece has."""
    return sorted(path.name for path in KEPT.glob("*") if path.suffix != ".txt" or path.stem not in pieces())


def changes(name: str, now: str) -> Iterator[str]:
    """The lines of a diff from the kept golden, none if it is the same."""
    path = path_of(name)
    kept = path.read_text(encoding="utf-8") if path.exists() else ""
    yield from unified_diff(kept.splitlines(), now.splitlines(), f"{name} kept", f"{name} now", lineterm="", n=1)
