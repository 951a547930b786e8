"""Pieces moved, for tests: the text before and after, with what was said."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from pipeline.desk.move.moving import move
from pipeline.desk.move.record import Asked, Moved
from pipeline.edition.leading import check_piece, led
from pipeline.folder.files import PieceFile, discover, read_texts
from pipeline.model.interval import UNISON, Interval, parse_interval
from pipeline.model.presets import find_preset
from pipeline.model.signs import Signs
from pipeline.model.text import SourceText
from pipeline.model.voiced import LedPiece
from pipeline.source.read import read_piece

ROOT = Path(__file__).parents[2]
ANTHOLOGY = discover([ROOT / "fixtures" / "anthology"])
HEADING = """\
longneck 1
title Trial piece
instrument theorbo in A
signs italian
metre C
key D minor
"""


@dataclass(frozen=True)
class Read:
    """A piece as read: its text, the headings above it, the reading, and the kinds of its findings."""

    text: str
    above: str
    led: LedPiece
    kinds: frozenset[str]
    restored: int


def anthology(piece: PieceFile) -> Read:
    texts = read_texts(piece)
    return read(texts.text.source.text, texts.inherited)


def read(text: str, above: tuple[SourceText, ...] = ()) -> Read:
    found = read_piece(SourceText.of("piece.intav", text), above)
    reading = led(found.sounding, found.song)
    kinds = frozenset(one.code.slug for one in found.settled(*reading.diagnostics))
    restored = sum(1 for note in reading.value.notes if note.restored is not None and not note.restored.asked)
    return Read(text, "".join(heading.text for heading in above), reading.value, kinds, restored)


def asked(transpose: str = "", instrument: str = "", signs: str = "", keep: Read | None = None) -> Asked:
    interval = parse_interval(transpose) if transpose else UNISON
    assert isinstance(interval, Interval)
    return Asked(
        interval,
        find_preset(instrument),
        Signs(signs) if signs else None,
        keep.led.sounding if keep is not None else None,
    )


def moved(piece: Read, transpose: str = "", instrument: str = "", signs: str = "", keep: Read | None = None) -> Moved:
    return move(piece.led, asked(transpose, instrument, signs, keep), "piece.intav")


def music(bars: str, heading: str = HEADING) -> Read:
    return read(f"{heading}\n{bars}\n")


def bars(text: str) -> list[str]:
    """The lines of the body, without blank ones."""
    return [line for line in text.partition("\n\n")[2].splitlines() if line]


def kinds_of(text: str) -> frozenset[str]:
    """The kinds of findings in a text that inherits nothing."""
    return frozenset(one.code.slug for one in check_piece(SourceText.of("moved.intav", text)))
