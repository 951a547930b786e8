"""A folder's ``heading.intav``: heading lines only, for all pieces below it."""

from __future__ import annotations

from pipeline.findings.codes.syntax import UNKNOWN_LINE
from pipeline.model.diagnostics import Outcome
from pipeline.model.tablature import HeadingLine
from pipeline.model.text import SourceText
from pipeline.source.parse.body import is_music
from pipeline.source.parse.headings import is_version, read_heading, read_version
from pipeline.source.parse.reader import Reader


def read_inherited(source: SourceText) -> Outcome[tuple[HeadingLine, ...]]:
    """folder heading = version {heading | comment} ;   music in it is a fault"""
    reader = Reader(source)
    lines, _ = reader.lines()
    version = read_version(reader, lines[0] if lines else None)
    heading = []
    for line in lines[1:] if lines and (version or is_version(lines[0])) else lines:
        if not line.words:
            continue
        if is_music(line.first):
            place = line.words[0].span(reader.file)
            message = f"Expected a heading line, not “{line.first}”: a folder's heading holds no music."
            reader.report(UNKNOWN_LINE, place, message, "Type the music in a piece of its own.")
            continue
        read = None if reader.overlong(line) else read_heading(reader, line)
        if read:
            heading.append(read)
    return Outcome(tuple(heading), reader.findings())
