"""The heading read back from an events document."""

from __future__ import annotations

from collections.abc import Iterator

from lxml.etree import _Element

from pipeline.desk.compare.content import HeadingContent, LineContent
from pipeline.desk.compare.contents.headings import Pair, declared_mark, described, published
from pipeline.desk.compare.contents.names import Tag, strings


def described_heading(heading: _Element, instrument: _Element, lines: list[_Element]) -> HeadingContent:
    """What is declared there; ``lines`` are those of the song."""
    said = described(
        heading.findtext(Tag.TITLE) or "",
        heading.findtext(Tag.COMPOSER) or "",
        tuple(remark.text or "" for remark in heading.iterfind(Tag.REMARK)),
        ((one.get("siglum", ""), one.text or "") for one in heading.iterfind(Tag.WITNESS)),
        tuple((one.get("initials", ""), one.text or "") for one in heading.iterfind(Tag.EDITOR)),
        instrument.get("name", ""),
        heading.get("signs", ""),
    )
    issue, licence = heading.find(Tag.EDITION), heading.find(Tag.LICENCE)
    public = published(
        (issue.get("version", ""), issue.get("date", "")) if issue is not None else None,
        (licence.text or "", licence.get("address", "")) if licence is not None else None,
        ((one.get("folio", ""), one.text or "") for one in heading.iterfind(Tag.CANVAS)),
    )
    return HeadingContent(
        (*said, *public), tuple(_declared(heading, instrument)), strings(instrument), tuple(map(_line, lines))
    )


def _declared(heading: _Element, instrument: _Element) -> Iterator[Pair]:
    """In the order of :func:`pipeline.desk.compare.contents.headings.heading_content`."""
    a4 = heading.get("a4", "")
    yield "stopped courses", instrument.get("stopped", "")
    yield "values", heading.get("values", "")
    yield "plain stem", heading.get("plain-stem", "")
    yield "pitch standard", f"{a4} Hz" if a4 else ""
    yield "string lengths", heading.get("strings", "")
    yield "metre", heading.get("metre", "")
    yield "key", heading.get("key", "")
    yield "voices", heading.get("voices", "")
    yield "arpeggio", heading.get("arpeggio", "")
    yield "first spread chord", "written out" if heading.get("written-out") == "yes" else ""
    for mark in heading.iterfind(Tag.DECLARED_MARK):
        yield f"mark “{mark.get('printed', '')}”", declared_mark(mark.get("meaning", ""), mark.get("place", ""))


def _line(line: _Element) -> LineContent:
    return LineContent(
        line.get("name", ""),
        line.get("title", ""),
        line.get("clef", ""),
        int(line.get("fifths", "0")),
        int(line.get("moved", "0")),
    )
