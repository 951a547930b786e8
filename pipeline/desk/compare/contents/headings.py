"""What a heading declares, and what is read of a piece as a whole, as pairs of a name and a text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from pipeline.desk.compare.content import HeadingContent, LineContent
from pipeline.model.heading import Heading
from pipeline.model.song import Song
from pipeline.model.voiced import VoicedPiece

Pair = tuple[str, str]


def heading_content(heading: Heading, song: Song) -> HeadingContent:
    """The heading of a piece and the lines of its song."""
    courses = heading.instrument.courses
    tuning = tuple("+".join(string.name for string in course.strings) for course in courses)
    lines = tuple(LineContent(line.name, line.title, line.clef, line.fifths, line.moved) for line in song.lines)
    return HeadingContent(tuple(_described(heading)), tuple(_declared(heading)), tuning, lines)


def _described(heading: Heading) -> Iterator[Pair]:
    yield from described(
        heading.title,
        heading.composer,
        heading.remarks,
        ((witness.siglum, witness.text) for witness in heading.witnesses),
        heading.editors,
        heading.instrument.name,
        heading.signs.value,
    )
    issue, licence = heading.issue, heading.licence
    yield from published(
        (issue.version, issue.date) if issue is not None else None,
        (licence.text, licence.address) if licence is not None else None,
        ((canvas.folio, canvas.address) for canvas in heading.canvases),
    )


def published(issue: Pair | None, licence: Pair | None, canvases: Iterable[Pair]) -> Iterator[Pair]:
    """What is said of the text as published: version and day, licence and its address, folios and their canvases."""
    for name, pair in (("edition", issue), ("licence", licence)):
        if pair is not None:
            yield name, ", ".join(filter(None, pair))
    for folio, address in canvases:
        yield f"canvas {folio}", address


def described(
    title: str,
    composer: str,
    remarks: tuple[str, ...],
    witnesses: Iterator[Pair],
    editors: tuple[Pair, ...],
    instrument: str,
    signs: str,
) -> Iterator[Pair]:
    """What is said of the piece, its sources and its editors."""
    yield "title", title
    yield "composer", composer
    for siglum, text in witnesses:
        yield f"source {siglum}", text
    for initials, name in editors:
        yield f"editor {initials}", name
    yield "name of the instrument", instrument
    yield "signs", signs
    for number, remark in enumerate(remarks, start=1):
        yield f"remark {number}", remark


def _declared(heading: Heading) -> Iterator[Pair]:
    instrument = heading.instrument
    yield "stopped courses", str(instrument.stopped)
    yield "values", str(heading.values)
    yield "plain stem", str(heading.plain_stem)
    yield "pitch standard", f"{heading.pitch:g} Hz" if heading.pitch is not None else ""
    yield "string lengths", " ".join(f"{length:g}" for length in heading.strings or ())
    yield "metre", metre_name(heading)
    yield "key", key_name(heading)
    yield "voices", str(heading.voices or "")
    yield "arpeggio", heading.arpeggio.value
    yield "first spread chord", "written out" if heading.written_out else ""
    for mark in heading.marks:
        yield f"mark “{mark.printed}”", declared_mark(mark.meaning, mark.place)


def declared_mark(meaning: str, place: str) -> str:
    """What a declared mark means, and where it stands."""
    return ", ".join(filter(None, (meaning, place)))


def metre_name(heading: Heading) -> str:
    """The metre that the piece begins with, as the source signs it; empty for none declared."""
    return heading.metre.sign if heading.metre is not None else ""


def key_name(heading: Heading) -> str:
    """The declared key: ``D minor``."""
    return f"{heading.key.tonic} {heading.key.mode}" if heading.key is not None else ""


def piece_readings(voiced: VoicedPiece) -> tuple[Pair, ...]:
    """What is read of the piece as a whole."""
    led = voiced.led
    return whole_readings(str(led.voices), str(voiced.fifths), voiced.key_found, led.habit, led.method)


def whole_readings(voices: str, fifths: str, found: bool, habit: str, method: str) -> tuple[Pair, ...]:
    """The same from plain values."""
    return (
        ("number of voices", voices),
        ("key signature", f"{_signature(int(fifths))}{', found from the notes' if found else ''}"),
        ("habit of writing", habit),
        ("how voices and lengths are read", method),
    )


def _signature(fifths: int) -> str:
    if not fifths:
        return "none"
    return f"{abs(fifths)} {'sharp' if fifths > 0 else 'flat'}{'' if abs(fifths) == 1 else 's'}"
