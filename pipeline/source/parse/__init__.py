"""From text to tablature: every sign as typed, with its place; every fault found in one run."""

from __future__ import annotations

from pipeline.model.diagnostics import Diagnostic, Outcome
from pipeline.model.tablature import CommentLine, HeadingLine, Tablature, UnreadLine
from pipeline.model.text import SourceText
from pipeline.source.parse.body import is_music, read_body
from pipeline.source.parse.headings import effective, is_version, read_heading, read_version, signs_of
from pipeline.source.parse.inheritance import read_inherited
from pipeline.source.parse.known import KnownBars
from pipeline.source.parse.lines import Line
from pipeline.source.parse.reader import Reader

__all__ = ["KnownBars", "parse"]

_Heading = tuple[HeadingLine | CommentLine | UnreadLine, ...]


def parse(
    source: SourceText, inherited: tuple[SourceText, ...] = (), known: KnownBars | None = None
) -> Outcome[Tablature]:
    """file = version {heading} {body line} ;

    ``inherited`` are the folders' heading files, outermost first. Never raises: what cannot be read is kept
    to the letter (``Unread``, ``UnreadLine``) with a finding. Findings are in order of place, those of the
    folders' headings first. ``known`` are the bars of the text as it was before, for one that is read over and over.
    """
    reader = Reader(source)
    outer = [read_inherited(text) for text in inherited]
    lines, beyond = reader.lines()
    version = read_version(reader, lines[0] if lines else None)
    comment = lines[0].comment if version else ""
    rest = lines[1:] if version else lines
    split = _heading_end(rest)
    spoilt = reader.unread(rest[0]) if not version and rest and is_version(rest[0]) else ()
    heading = (*spoilt, *read_headings(reader, rest[bool(spoilt) : split]))
    own = tuple(line for line in heading if isinstance(line, HeadingLine))
    passed_on = effective(tuple(part.value for part in outer), own)
    reader.declares(signs_of(own + passed_on), own + passed_on)
    body = (*read_body(reader, rest[split:], known), *beyond)
    found: list[Diagnostic] = [finding for part in outer for finding in part.diagnostics]
    found += reader.findings()
    value = Tablature(version, heading, passed_on, body, reader.signs, comment, source.name)
    return Outcome(value, tuple(found))


def _heading_end(lines: tuple[Line, ...]) -> int:
    """Where the body begins: at the first music line, with the comments that stand directly above it."""
    end = next((at for at, line in enumerate(lines) if line.words and is_music(line.first)), len(lines))
    while 0 < end < len(lines) and not lines[end].spaced and not lines[end - 1].words:
        end -= 1
    return end


def read_headings(reader: Reader, lines: tuple[Line, ...]) -> _Heading:
    """{heading | comment} ;"""
    heading: list[HeadingLine | CommentLine | UnreadLine] = []
    for line in lines:
        if not line.words:
            heading.append(CommentLine(line.comment, reader.source.whole(line.numbers[0])))
            continue
        read = None if reader.overlong(line) else read_heading(reader, line)
        heading.extend((read,) if read else reader.unread(line))
    return tuple(heading)
