"""The shape of a piece: its heading, its sections, its bars."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pipeline.desk.converse.look import Look
from pipeline.desk.converse.record import Outlined, Part
from pipeline.desk.misprints.accepting import last_line
from pipeline.model.record import replace
from pipeline.model.tablature import Bar, Directive, DirectiveKind, HeadingLine, Tablature
from pipeline.model.text import Span

#: Characters of a bar that are shown.
_SHOWN = 40


def outline(look: Look) -> tuple[Outlined, ...]:
    """The heading; then each section with its bars. Bars before the first section stand by themselves."""
    tablature = look.piece.tablature
    labels = _labels(look)
    top = list(_heading(tablature))
    section: Outlined | None = None
    bars: list[Outlined] = []
    for item in tablature.body:
        if isinstance(item, Directive) and item.kind is DirectiveKind.SECTION:
            top += _closed(section, bars)
            section, bars = Outlined(Part.SECTION, item.text, "", item.span, item.span.line), []
        elif isinstance(item, Bar):
            bars.append(_bar(look, item, labels.get(item.span, "")))
    return (*top, *_closed(section, bars))


def _closed(section: Outlined | None, bars: Sequence[Outlined]) -> Iterator[Outlined]:
    if section is None:
        yield from bars
        return
    last = max((bar.last_line for bar in bars), default=section.last_line)
    said = f"{len(bars)} {'line' if len(bars) == 1 else 'lines'} of bars"
    yield replace(section, says=said, last_line=last, inside=tuple(bars))


def _heading(tablature: Tablature) -> Iterator[Outlined]:
    lines = [line for line in tablature.heading if isinstance(line, HeadingLine)]
    if lines:
        title = next((line.value for line in lines if line.key == "title"), "")
        last = max(line.span.line for line in lines)
        yield Outlined(Part.HEADING, "Heading", title, lines[0].span, last)


def _labels(look: Look) -> dict[Span, str]:
    """How each typed bar is called: by its number as printed, that of a ditto by all of its numbers."""
    numbers: dict[Span, list[str]] = {}
    for bar in look.piece.bars:
        numbers.setdefault(bar.bar.span, []).append(bar.label)
    return {span: _called([label for label in found if label]) for span, found in numbers.items()}


def _called(found: Sequence[str]) -> str:
    if not found:
        return "Upbeat"
    return f"Bar {found[0]}" if len(found) == 1 else f"Bars {found[0]}–{found[-1]}"


def _bar(look: Look, bar: Bar, called: str) -> Outlined:
    typed = " ".join(look.source.at(bar.span).split()[1:])
    short = typed if len(typed) <= _SHOWN else f"{typed[:_SHOWN].rpartition(' ')[0]} …"
    return Outlined(Part.BAR, called or "Bar", short, bar.span, last_line(bar))
