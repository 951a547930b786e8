"""A file of another kind to text, with a finding for whatever stays behind. Pure, and never raises."""

from __future__ import annotations

from dataclasses import dataclass

from lxml import etree

from pipeline.findings.codes.exchange import EXCHANGE_FILE_BROKEN, EXCHANGE_FILE_UNSAFE
from pipeline.findings.codes.limits import TOO_MUCH
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.limits import MOST_BARS, MOST_EVENTS, MOST_VOICE_ELEMENTS, VOICE_FILE_BYTES
from pipeline.model.text import Span
from pipeline.source.exchange.completing import complete
from pipeline.source.exchange.ledger import Ledger
from pipeline.source.exchange.mei import read_mei
from pipeline.source.exchange.musicxml import read_musicxml
from pipeline.source.exchange.writing import written
from pipeline.source.partbook.safety import (
    BrokenError,
    TooMuchError,
    UnsafeError,
    document_of,
    unpacked,
)

_MEI = ("{http://www.music-encoding.org/ns/mei}mei", "mei", "score-partwise")
#: Endings of the files that are looked at.
ENDINGS = (".mei", ".musicxml", ".mxl", ".xml")


@dataclass(frozen=True, slots=True)
class Taken:
    """The text of a file's tablature, empty if there is none; what was found on the way."""

    text: str
    diagnostics: tuple[Diagnostic, ...]


def take(name: str, data: bytes) -> Taken:
    """The tablature in the bytes of an MEI or MusicXML file, in the canonical layout. ``name`` is what findings call
    the file; they stand at its lines, which are those of the start tags."""
    ledger = Ledger(name)
    place = Span(name, 1, 1, 1)
    try:
        if len(data) > VOICE_FILE_BYTES:
            raise TooMuchError(f"it holds more than {VOICE_FILE_BYTES // 2**20} MB")
        packed = data.startswith(b"PK\x03\x04")
        root = document_of(unpacked(data) if packed else data, _MEI)
        _bounded(root)
        piece = (read_musicxml if root.tag == "score-partwise" else read_mei)(root, name, ledger)
        if len(piece.bars) > MOST_BARS or sum(len(bar.items) for bar in piece.bars) > MOST_EVENTS:
            raise TooMuchError(f"it has more than {MOST_BARS:,} bars or {MOST_EVENTS:,} events")
        complete(piece, ledger)
        text = written(piece)
    except UnsafeError as error:
        return Taken("", (Diagnostic(EXCHANGE_FILE_UNSAFE, place, f"The file is refused: {error}."),))
    except TooMuchError as error:
        return Taken("", (Diagnostic(TOO_MUCH, place, f"The file holds more than is read: {error}."),))
    except BrokenError as error:
        return Taken("", (Diagnostic(EXCHANGE_FILE_BROKEN, place, f"Nothing can be taken over: {error}."),))
    return Taken(text, ledger.findings())


def _bounded(root: etree._Element) -> None:
    """Raises TooMuchError if a document holds more than any piece needs."""
    count = sum(1 for _ in root.iter())
    if count > MOST_VOICE_ELEMENTS:
        raise TooMuchError(f"it has more than {MOST_VOICE_ELEMENTS:,} elements")
