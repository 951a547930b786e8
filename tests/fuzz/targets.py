"""What is tried: each target takes any bytes and promises something, for which no exception ever speaks.

A target raises only where a promise is broken. Whatever a function says it raises (``BadBaselineError`` for what is no
baseline) is caught here: that is an answer.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass

from lxml import etree

from pipeline.desk.compare.content import PieceContent
from pipeline.desk.compare.contents import NotEventsError, content_of, recall_content, recall_findings
from pipeline.desk.compare.contents import NotFindingsError as NotRecalledError
from pipeline.desk.compare.differ import differences
from pipeline.desk.misprints.proposals import proposals_of
from pipeline.edition.leading import check_piece, led
from pipeline.edition.spell import spell
from pipeline.findings.codes.limits import TOO_MUCH
from pipeline.findings.codes.syntax import COURSE_TWICE
from pipeline.findings.document import write_findings
from pipeline.findings.recorded import NotFindingsError, read_findings
from pipeline.findings.tally.baseline import BadBaselineError, read_baseline, write_baseline
from pipeline.folder.batch.work import collector_at_rest
from pipeline.folder.cache.asked import UnknownOptionsError, options_read
from pipeline.folder.cache.record import read_record, record_bytes
from pipeline.folder.files import RawFile, ReadFile, decoded
from pipeline.model.artefacts import Form
from pipeline.model.diagnostics import Diagnostic, Severity
from pipeline.model.interval import Interval, Refused, parse_interval, parse_range
from pipeline.model.options import Options
from pipeline.model.text import SourceText
from pipeline.model.voicefile import VoiceFile
from pipeline.piece import build_piece
from pipeline.source.declare import declare, files_named
from pipeline.source.encoding import write_encoding
from pipeline.source.exchange import take
from pipeline.source.facsimile import image_of, images_named
from pipeline.source.parse import parse
from pipeline.source.read import song_of, sounding_piece
from pipeline.source.resolve import resolve
from tests.fuzz import seeds

#: Parts an input into folder's heading and piece.
BETWEEN = b"\n@@@\n"
_UNDRAWN = Options(chord_names=True, forms=(Form.MUSICXML, Form.MEI, Form.MIDI, Form.EVENTS, Form.REPORT))
_DRAWN = Options(forms=tuple(Form))
_ENDINGS = (".musicxml", ".mxl", ".abc", ".krn", ".mid", ".xml")
_MOST_DRAWN = 300
#: Errors in a text that was taken over which its source has made: too much of something, or a course struck twice.
_OF_THE_SOURCE = (TOO_MUCH, COURSE_TWICE)
MUSIC = "| 1=7,4:0,3:0\nv 2=D5 E\n1 la la\n| 4=3:2 3:3 2:0'T 1:0 |||\n"


@dataclass(frozen=True, slots=True)
class Target:
    """``run`` takes one input. ``share`` is how many of a thousand inputs of a whole run go to it. ``slow`` says that
    one input may take so long that coverage is not measured on it."""

    name: str
    promise: str
    run: Callable[[bytes], object]
    seeds: Callable[[], list[bytes]]
    share: int
    slow: bool = False


def _text_of(name: str, data: bytes) -> ReadFile:
    """The text in these bytes; what is wrong with them is found in it."""
    read = decoded(RawFile(name, data))
    _in_place(read.diagnostics, (read.source,))
    return read


def _text(name: str, data: bytes) -> SourceText | None:
    read = _text_of(name, data)
    return read.source if read.usable else None


def _texts(data: bytes) -> tuple[SourceText, tuple[SourceText, ...]] | None:
    """The piece and the headings that it inherits, if all of it can be decoded."""
    *above, own = data.split(BETWEEN)
    read = [_text(f"{number}/heading.intav", part) for number, part in enumerate(above)]
    piece = _text("piece.intav", own)
    if piece is None or None in read:
        return None
    return piece, tuple(text for text in read if text is not None)


def _in_place(found: Iterable[Diagnostic], texts: Iterable[SourceText]) -> None:
    """Every finding underlines something that is there, in a text that was read."""
    by_name = {text.name: text for text in texts}
    for one in found:
        span, text = one.span, by_name[one.span.file]
        assert 1 <= span.line <= max(1, len(text.lines)), one
        assert 1 <= span.start <= span.end <= len(text.line(span.line)) + 1, one
        assert one.message and all(other.span.file in by_name for other in one.related), one


def reading(data: bytes) -> None:
    """Any text is read, every finding stands in it, and the canonical layout of it stays as it is."""
    texts = _texts(data)
    if texts is None:
        return
    source, above = texts
    read = parse(source, above)
    _in_place(read.diagnostics, (source, *above))
    sounding = resolve(read.value, declare(read.value).value)
    _in_place(sounding.diagnostics, (source, *above))
    tidied = write_encoding(read.value)
    again = write_encoding(parse(SourceText.of(source.name, tidied), above).value)
    assert again == tidied, "written twice, the text differs"


def heading(data: bytes) -> None:
    """Any lines at all may stand in a folder's heading, over a plain piece."""
    text = _text("heading.intav", data)
    if text is None:
        return
    piece = SourceText.of("piece.intav", "longneck 1\n\n" + MUSIC)
    found = sounding_piece(piece, (text,)).diagnostics
    _in_place(found, (piece, text))
    files_named((text, piece))
    images_named(piece, (text,))


def check(data: bytes) -> tuple[Diagnostic, ...]:
    """Any text is checked to the end, and its findings are read back from their file as they were written."""
    texts = _texts(data)
    if texts is None:
        return _text_of("piece.intav", data).diagnostics
    source, above = texts
    found = check_piece(source, above)
    _in_place(found, (source, *above))
    ordered = sorted(found, key=lambda one: (one.span, one.code.slug, one.message))
    assert read_findings(write_findings(source.name, found)) == tuple(ordered), "findings are read otherwise"
    return found


def build(data: bytes) -> None:
    """Any text is made into every form but pages, and what is XML is well-formed, no name in it given twice."""
    texts = _texts(data)
    if texts is None:
        return
    with collector_at_rest():
        artefacts = build_piece(*texts, _UNDRAWN).artefacts
    for name, made in artefacts:
        if name.endswith((".mei", ".musicxml", ".xml")):
            etree.fromstring(made, etree.XMLParser(huge_tree=True))


def pages(data: bytes) -> None:
    """Any text is engraved, as SVG, PDF and proof page; one of hundreds of bars takes as long as it is long."""
    texts = _texts(data)
    if texts is not None and len(sounding_piece(*texts).value.bars) <= _MOST_DRAWN:
        build_piece(*texts, _DRAWN)


def propose(data: bytes) -> None:
    """Probable misprints are looked for in any text."""
    texts = _texts(data)
    if texts is not None:
        proposals_of(texts[0], sounding_piece(*texts).value)


def compare(data: bytes) -> None:
    """A text compared with itself shows no difference; any two texts can be compared."""
    texts = _texts(data)
    if texts is None:
        return
    content = _content(*texts)
    assert not differences(content, content), "a piece differs from itself"
    other = SourceText("other.intav", texts[0].lines[:3] + texts[0].lines[4:])
    differences(content, _content(other, texts[1]))


def _content(source: SourceText, above: tuple[SourceText, ...]) -> PieceContent:
    sounding = sounding_piece(source, above).value
    return content_of(sounding, song_of(sounding).value, spell(led(sounding).value))


def voice(data: bytes) -> tuple[Diagnostic, ...]:
    """Any bytes may stand in a notation file. The first says which ending its name has."""
    ending = _ENDINGS[data[0] % len(_ENDINGS)] if data else ".xml"
    name = f"canto{ending}"
    text = f"longneck 1\ninstrument theorbo in A\nmetre C\nlayer v = Canto, clef C1, from {name}\n\n{MUSIC}"
    piece = SourceText.of("piece.intav", text.replace("v 2=D5 E\n1 la la\n", ""))
    found = check_piece(piece, (), {name: VoiceFile(name, data[1:])})
    _in_place(found, (piece,))
    return found


def exchange(data: bytes) -> None:
    """Any bytes may stand in a file that is taken over. What comes of it is canonical text that reads without a fault
    of its own, and every finding has words and a place. What is not well-formed is tried once more as mended: few
    made-up documents are."""
    _taken(data)
    with suppress(etree.XMLSyntaxError, ValueError):
        mended = etree.fromstring(data, etree.XMLParser(recover=True, resolve_entities=False, no_network=True))
        data = etree.tostring(mended) if mended is not None else b""
    _taken(data)


def _taken(data: bytes) -> None:
    taken = take("piece.mei", data)
    assert all(one.message and one.span.line >= 1 for one in taken.diagnostics)
    if not taken.text:
        assert any(one.severity is Severity.ERROR for one in taken.diagnostics), "nothing is taken, and nothing is said"
        return
    source = SourceText.of("piece.intav", taken.text)
    read = parse(source)
    grave = [one for one in read.diagnostics if one.severity is Severity.ERROR and one.code not in _OF_THE_SOURCE]
    assert not grave, f"{grave[0].message} in {source.at(source.whole(grave[0].span.line))!r}"
    assert write_encoding(read.value) == taken.text, "the text is not canonical"
    assert len(parse(source).value.bars) == taken.text.count("\n|"), "bars are lost"


def records(data: bytes) -> None:
    """Any bytes may stand where a build has left its record, its findings or its events, or an editor a baseline."""
    record = read_record(data)
    assert record is None or read_record(record_bytes(record)) == record
    with suppress(NotFindingsError):
        read_findings(data)
    with suppress(BadBaselineError):
        known = read_baseline(data)
        assert read_baseline(write_baseline(known)) == known or b"\\ud" in data
    with suppress(NotEventsError):
        recall_content(data)
    with suppress(NotRecalledError):
        recall_findings(data)


def options(data: bytes) -> None:
    """Any word may be typed where an interval or a range is asked for."""
    typed = data.decode(errors="surrogateescape")
    interval = parse_interval(typed)
    assert isinstance(interval, Refused) or (isinstance(interval, Interval) and bool(interval.words))
    asked = parse_range(typed)
    assert isinstance(asked, Refused) or asked[0].semitones <= asked[1].semitones
    name, _, value = typed.partition("=")
    with suppress(UnknownOptionsError):
        options_read({name: value})


def image(data: bytes) -> None:
    """Any bytes may stand at the beginning of an image."""
    known = image_of("4r.jpg", data, len(data))
    assert known.width >= 0 and known.height >= 0


TARGETS = {
    target.name: target
    for target in (
        Target("reading", "parse, declare, resolve, tidy twice", reading, seeds.pieces, 500),
        Target("heading", "a folder's heading", heading, seeds.headings, 150),
        Target("records", "records, findings, events, baselines read back", records, seeds.records, 150),
        Target("options", "intervals, ranges, options", options, seeds.options, 60),
        Target("image", "headers of images", image, seeds.images, 50),
        Target("check", "the whole check, findings written and read", check, seeds.pieces, 60),
        Target("voice", "MusicXML, packed MusicXML, ABC, kern, MIDI", voice, seeds.voices, 10, slow=True),
        Target("exchange", "MEI and MusicXML taken over", exchange, seeds.exchanges, 30),
        Target("build", "every form but pages", build, seeds.pieces, 14, slow=True),
        Target("compare", "content, differences", compare, seeds.pieces, 4, slow=True),
        Target("propose", "probable misprints", propose, seeds.pieces, 1, slow=True),
        Target("pages", "engraving, PDF, proof page", pages, seeds.pieces, 1, slow=True),
    )
}
