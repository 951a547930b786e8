"""The walk through a piece that gathers every act once, in the order of print."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import groupby

from pipeline.edition.apparatus.drafts import BarDraft, Made, Said, Spot
from pipeline.edition.apparatus.lines import LineActs
from pipeline.edition.apparatus.octaves import octaves
from pipeline.edition.apparatus.statement import statement_of
from pipeline.edition.apparatus.tabs import TabActs, whole_bars
from pipeline.edition.events_said import EventWords
from pipeline.edition.readings import NO_READING, ditto_said
from pipeline.model.apparatus import Apparatus, Kind, Subject
from pipeline.model.book import Canvas
from pipeline.model.signs import Event
from pipeline.model.sounding import SoundingBar, SoundingPiece
from pipeline.model.tablature import Directive, DirectiveKind, SourceBreak
from pipeline.model.voiced import VoicedPiece
from pipeline.source.facsimile import folios_of
from pipeline.source.resolve.piece import gap_bars

#: Before all events of a bar.
_BETWEEN_BARS = -1


def apparatus(voiced: VoicedPiece) -> Apparatus:
    """Every editorial act of a piece, each once, and every octave read into it. Linear time but for the sorting.

    A bar that the source does not write out is one act; what was done in the bar that it repeats stands there.
    """
    piece = voiced.sounding
    heading = piece.heading
    walk = _Walk(piece, dict(voiced.led.refused))
    made = [*walk.made(), *octaves(voiced, walk.folios)]
    made.sort(key=lambda each: each[0])
    entries = tuple(entry for _, entry in made)
    witnesses = heading.witnesses
    return Apparatus(
        heading.title,
        heading.composer,
        witnesses,
        heading.editors,
        witnesses[0].siglum if witnesses else "",
        entries,
        statement_of(voiced, entries),
        tuple(Canvas(one.folio, one.canvas) for one in folios_of(piece, ()) if one.canvas),
    )


@dataclass(slots=True)
class _Walk:
    """What is in force while walking: the page of the source. ``folios`` has it for the end of each bar."""

    piece: SoundingPiece
    refused: dict[str, str]
    folio: str = ""
    folios: list[str] = field(default_factory=list)

    def made(self) -> Iterator[Made]:
        tabs, lines = TabActs(self.piece.heading), LineActs(self.piece.heading)
        for _, group in groupby(self.piece.bars, key=lambda bar: id(bar.bar)):
            bars = list(group)
            yield from self._bar(bars, tabs, lines)
        last = self.piece.bars[-1] if self.piece.bars else None
        for place, line in enumerate(self.piece.closing, start=1):
            after = 2 * len(last.events) + 1 + place if last is not None else place
            yield from self._directive(line, last, after)

    def _bar(self, bars: Sequence[SoundingBar], tabs: TabActs, lines: LineActs) -> Iterator[Made]:
        """One bar as typed: several in the edition where the source says to repeat so many."""
        bar = bars[0]
        pages = self._pages(bar)
        for place, line in enumerate(bar.directives):
            yield from self._directive(line, bar, _BETWEEN_BARS - len(bar.directives) + place)
        draft = BarDraft(bar.index + 1, bar.label, bar.bar.notes, pages, self.refused, self.piece.heading)
        spot = Spot(f"b{bar.index + 1}", 0, 0, Subject.BAR, 0)
        whole_bars(draft, bar, EventWords(self.piece.heading))
        if bar.bar.ditto is not None:
            finding = Said(Kind.WRITTEN_OUT, ditto_said(bar.bar.ditto), "written out")
            draft.act(spot, finding, whole=not bar.bar.variants)
        else:
            tabs.events(draft, bar)
        tabs.lines(draft, bar, f"b{bars[-1].index + 1}")
        if bar.bar.layers:
            lines.layers(draft, bar)
        yield from draft.made(spot)
        self.folios.extend(self.folio for _ in bars)

    def _pages(self, bar: SoundingBar) -> tuple[tuple[int, str], ...]:
        """The pages of the source that the bar stands on: (events before, folio)."""
        for name, _ in bar.folios:
            self.folio = name or self.folio
        pages = [(0, self.folio)]
        before = 0
        for item in bar.bar.items:
            if isinstance(item, Event):
                before += 1
            elif isinstance(item, SourceBreak) and item.folio:
                self.folio = item.folio
                pages.append((before, item.folio))
        return tuple(pages)

    def _directive(self, line: Directive, bar: SoundingBar | None, moment: int) -> Iterator[Made]:
        """A line between bars: bars torn away, and whatever is noted."""
        gap = line.kind is DirectiveKind.GAP
        if not (gap or line.notes):
            return
        number, label = (bar.index + 1, bar.label) if bar is not None else (1, "")
        missing = gap_bars(line.text) if gap else 0
        if missing and label.isdecimal() and moment < 0:
            last = int(label) - 1
            label = str(last) if missing == 1 else f"{last - missing + 1}–{last}"
        draft = BarDraft(number, label, line.notes, ((0, self.folio),), self.refused, self.piece.heading)
        subject = Subject.BAR if gap else Subject.DIRECTIVE
        spot = Spot(f"b{number}" if bar is not None else "", 0, 0, subject, moment, "" if gap else _said(line))
        if gap:
            draft.act(spot, Said(Kind.LOST, line.text, NO_READING, was=missing), whole=True)
        yield from draft.made(spot)


def _said(line: Directive) -> str:
    return f"{line.kind.value} {line.text}".strip()
