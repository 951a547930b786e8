"""Every piece of the anthology as typed, and as it comes back from its own editions."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from pipeline.folder.files import PieceFile, read_texts
from pipeline.model.artefacts import Form
from pipeline.model.options import Options
from pipeline.model.tablature import Tablature
from pipeline.piece import build_piece
from pipeline.source.exchange import Taken, take
from pipeline.source.parse import parse
from tests.source.exchange.likeness import read

ANTHOLOGY = Path(__file__).parent.parent.parent.parent / "fixtures" / "anthology"
FORMS = ("mei", "musicxml")


def cases() -> list[str]:
    """The pieces by their paths without endings."""
    found = sorted(ANTHOLOGY.rglob("*.intav"))
    return [path.relative_to(ANTHOLOGY).with_suffix("").as_posix() for path in found if path.name != "heading.intav"]


@cache
def typed(name: str) -> Tablature:
    texts = read_texts(_file(name))
    return parse(texts.text.source, texts.inherited).value


@cache
def edition(name: str) -> dict[str, bytes]:
    """The editions of a piece by their form."""
    texts = read_texts(_file(name))
    made = build_piece(texts.text.source, texts.inherited, Options(forms=(Form.MUSICXML, Form.MEI)))
    return {form: dict(made.artefacts)[f"edition.{form}"] for form in FORMS}


@cache
def back(name: str, form: str) -> Taken:
    """What is taken from the edition of a piece."""
    return take(f"{name}.{form}", edition(name)[form])


def taken(name: str, form: str) -> tuple[Tablature, Tablature]:
    """A piece as typed, and as it comes back."""
    return typed(name), read(back(name, form).text)


def _file(name: str) -> PieceFile:
    path = ANTHOLOGY / f"{name}.intav"
    return PieceFile(path, path.name, Path(name))
