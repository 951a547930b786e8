"""What two sources have otherwise and no reading says: lines between bars, declarations, sung lines, words, letters."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.desk.collate.record import Level
from pipeline.desk.compare.contents import content_of
from pipeline.desk.compare.differ import differences
from pipeline.desk.compare.difference import Difference, Kind, Side
from pipeline.findings.codes.collating import NOT_COLLATED
from pipeline.model.diagnostics import Diagnostic
from pipeline.model.song import Song
from pipeline.model.sounding import SoundingPiece
from pipeline.model.text import Span

_HEARD = {Kind.FORM: "Between bars", Kind.SUNG: "Sung"}
_PRINTED = {Kind.HEADING: "In the heading", Kind.WORDS: "In the words", Kind.FIGURES: "In the figures",
            Kind.CHORD: "In the chord letters"}  # fmt: skip
#: So many bars are named.
_MOST_NAMED = 6


def beside(one: SoundingPiece, song: Song, two: SoundingPiece, other: Song, level: Level) -> Iterator[Diagnostic]:
    """One finding for each thing that differs, with the bars in which it does."""
    wanted = _HEARD if level is Level.SOUND else _HEARD | _PRINTED
    groups: dict[tuple[Kind, str], list[Difference]] = {}
    for found in differences(content_of(one, song), content_of(two, other)):
        if found.kind in wanted:
            subject = "" if found.kind is Kind.CHORD else found.subject.partition(",")[0]
            groups.setdefault((found.kind, subject), []).append(found)
    for (kind, subject), group in groups.items():
        yield _finding(f"{wanted[kind]}{f', {subject}' if subject else ''}", group, one.tablature.name)


def _finding(what: str, group: list[Difference], name: str) -> Diagnostic:
    first = group[0]
    words = f": {_said(first.one)} here, {_said(first.two)} there" if len(group) == 1 else ""
    bars = list(dict.fromkeys(side.bar for each in group if (side := each.one if each.one.bar else each.two).bar))
    named = ", ".join(bar.removeprefix("bar ") for bar in bars[:_MOST_NAMED])
    more = " …" if len(bars) > _MOST_NAMED else ""
    where = f" (bar{'s' if len(bars) > 1 else ''} {named}{more})" if bars else ""
    span = next((side.span for side in (first.one, first.two) if side.span is not None), Span(name, 1, 1, 1))
    return Diagnostic(NOT_COLLATED, span, f"{what}{words}{where}: it differs, and is not written.")


def _said(side: Side) -> str:
    return side.text or "nothing"
