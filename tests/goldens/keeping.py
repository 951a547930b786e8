"""Which goldens there are, what they should hold, what they hold."""

from __future__ import annotations

from collections.abc import Iterator
from difflib import unified_diff
from pathlib import Path

from pipeline.edition.copies import copy_of
from pipeline.edition.leading import led
from pipeline.edition.notate import notate
from pipeline.edition.spell import spell
from pipeline.folder.batch.reading import Reader, with_files
from pipeline.folder.files import PieceFile, decoded, discover
from pipeline.model.options import Options
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
    """The text that a piece's golden should hold: its edition, its singer's copy, and its findings."""
    parcel = with_files(Reader().parcel(file), file)
    text, heads = decoded(parcel.text).source, tuple(decoded(raw).source for raw in parcel.headings)
    read = read_piece(text, heads, {one.name: one for one in parcel.files}, {one.name: one for one in parcel.images})
    reading = led(read.sounding)
    voiced = spell(reading.value)
    plan = copy_of(voiced, read.song, Options(copy=True))
    found = read.settled(*reading.diagnostics, *plan.diagnostics)
    lines = ["= edition", *dump(notate(voiced))]
    if plan.score is not None:
        lines += ["= singer's copy", *dump(plan.score)]
    lines += ["= findings"]
    lines += [f"{one.severity.value} {one.code.slug} {one.span.line}:{one.span.start} {one.message}" for one in found]
    return "\n".join(lines) + "\n"


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
