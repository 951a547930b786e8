"""Layer lines of the heading: a vocal or bass line, typed in the piece or taken from a notation file."""

from __future__ import annotations

import re
from collections.abc import Iterable

from pipeline.model.heading import Layer
from pipeline.model.text import SourceText
from pipeline.source.declare.fields import Field
from pipeline.source.declare.measure import read_signature

#: Endings of notation files that a layer can be taken from.
FILE_ENDINGS = (".musicxml", ".xml", ".mxl", ".abc", ".krn", ".mid", ".midi")

_CLEF = re.compile(r"clef ([GCF][1-5](?:_8|\^8)?)")
_FROM = re.compile(r"from (\S.*)")
_PART = re.compile(r"part ([1-9][0-9]?)")
#: Where a physical line goes on in the next (the sign ``+``), and where a comment ends it.
_GOES_ON = re.compile(r"\n\s*\+\s")
_COMMENT = re.compile(r"(^|\s);.*", re.MULTILINE)


def read_layer(name: str, field: Field) -> Layer | None:
    """layer = title "," "clef" clef ["," signature] ["," "from" file ["," "part" n]] ;   else None"""
    parts = [part.text for part in field.split(",")]
    clef = _CLEF.fullmatch(parts[1]) if len(parts) > 1 else None
    if clef is None or not parts[0]:
        return None
    rest = parts[2:]
    fifths: int | None = 0
    if rest and not _FROM.fullmatch(rest[0]):
        fifths = read_signature(rest.pop(0))
    file, part = "", 0
    if rest and (match := _FROM.fullmatch(rest[0])):
        file = match[1]
        rest.pop(0)
        if rest and (numbered := _PART.fullmatch(rest[0])):
            part = int(numbered[1])
            rest.pop(0)
        if not file.lower().endswith(FILE_ENDINGS):
            return None
    if rest or fifths is None:
        return None
    return Layer(name, parts[0], clef[1], fifths, file, part)


def files_named(texts: Iterable[SourceText]) -> tuple[str, ...]:
    """The notation files that layer lines of these texts name, each once, in order: what must be read before a
    piece can be made. A line that only looks like one does no harm: the file is then read and not used."""
    found: dict[str, None] = {}
    for text in texts:
        if not any(line.lstrip().startswith("layer") for line in text.lines):
            continue
        for line in _GOES_ON.sub(" ", _COMMENT.sub("", text.text)).split("\n"):
            for part in line.split(",") if line.lstrip().startswith("layer") else ():
                named = _FROM.fullmatch(" ".join(part.split()))
                if named and named[1].lower().endswith(FILE_ENDINGS):
                    found[named[1]] = None
    return tuple(found)
