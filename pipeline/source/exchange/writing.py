"""A gathered piece as text in the canonical layout."""

from __future__ import annotations

from collections.abc import Iterator

from pipeline.model.signs import Signs
from pipeline.model.tablature import (
    OMITS,
    Bar,
    Barline,
    BodyItem,
    Directive,
    DirectiveKind,
    Ditto,
    HeadingLine,
    NoteKind,
    PageBreak,
    SourceBar,
    Tablature,
)
from pipeline.source.encoding import write_encoding
from pipeline.source.exchange.drafts import BarDraft, BreakDraft, PieceDraft, Said, VariantDraft
from pipeline.source.exchange.tuning import instrument_lines
from pipeline.source.exchange.typed import NOWHERE, Labels, note_line, plain_words, records


def written(piece: PieceDraft) -> str:
    """The text of a piece. Deterministic: the same piece gives the same text."""
    heading = tuple(
        HeadingLine(key, name, plain_words(value), NOWHERE, NOWHERE)
        for key, name, value in _heading(piece)
        if plain_words(value)
    )
    body: list[BodyItem] = []
    for bar in piece.bars:
        body.extend(_between(item) for item in sorted(bar.before, key=_rank))
        body.append(_bar(bar, piece.signs))
    body.extend(_between(item) for item in piece.after)
    return write_encoding(Tablature(1, heading, (), tuple(body), piece.signs))


def _heading(piece: PieceDraft) -> Iterator[tuple[str, str, str]]:
    yield "title", "", piece.title
    yield "composer", "", piece.composer
    yield "edition", "", piece.edition
    yield "licence", "", piece.licence
    yield from (("source", siglum, text) for siglum, text in piece.sources)
    yield from (("facsimile", folio, path) for folio, path in piece.facsimiles)
    yield from (("systems", folio, zones) for folio, zones in piece.systems)
    yield from (("canvas", folio, address) for folio, address in piece.canvases)
    yield from (("editor", initials, name) for initials, name in piece.editors)
    highest = max((fret for fret in _frets(piece)), default=0)
    yield from instrument_lines(piece.courses, piece.instrument, highest)
    yield "pitch", "", piece.pitch
    yield "signs", "", piece.signs.value
    yield "lines", "", _lines(piece)
    if piece.ratio != 1:
        yield "values", "", f"{piece.ratio.numerator}:{piece.ratio.denominator}"
    if piece.plain != 2:
        yield "stems", "", f"plain = {piece.plain}"
    yield "metre", "", piece.metre or "none"
    yield "key", "", piece.key
    for letter, (shown, meaning, place) in sorted(piece.marks.items()):
        yield "mark", letter, f'"{shown}" {meaning}, {place}'
    yield from (("layer", name, text) for name, text in piece.layers)
    yield from (("remark", "", text) for text in piece.remarks)


def _lines(piece: PieceDraft) -> str:
    stopped = min(6, len(piece.courses)) or 6
    count = str(piece.lines) if piece.lines in (5, 6) and piece.lines != stopped else ""
    above = "course 1 above" if piece.above and piece.signs is Signs.ITALIAN else ""
    if above and piece.lines in (5, 6):
        count = str(piece.lines) if piece.lines != 6 or count else count
    return ", ".join(part for part in (count, above) if part)


def _frets(piece: PieceDraft) -> Iterator[int]:
    for bar in piece.bars:
        for event in bar.events:
            for stop in event.stops:
                for figure in (stop.edition, stop.source):
                    if figure is not None and figure.fret is not None:
                        yield figure.fret


#: The order in which lines between two bars are typed.
_ORDER = (DirectiveKind.SECTION, DirectiveKind.OPENS, DirectiveKind.RETUNE, DirectiveKind.METRE, DirectiveKind.KEY,
          DirectiveKind.TEMPO, DirectiveKind.ENDING)  # fmt: skip


def _rank(item: Said | BreakDraft) -> int:
    """What ends before a bar comes first, then where the page or system begins, then what begins with the bar."""
    if isinstance(item, BreakDraft):
        return 1
    if item.kind not in _ORDER or item == Said(DirectiveKind.ENDING, "end"):
        return 0
    return 2 + _ORDER.index(item.kind)


def _between(item: Said | BreakDraft) -> BodyItem:
    if isinstance(item, BreakDraft):
        return PageBreak(item.folio, NOWHERE)
    return Directive(item.kind, plain_words(item.text), NOWHERE, NOWHERE)


def _bar(bar: BarDraft, signs: Signs) -> Bar:
    labels = Labels()
    items = records(bar.items, labels, signs)
    closing = Barline(bar.closing.kind, NOWHERE, bar.closing.act, labels.of(bar.closing.remarks), typed=False)
    plain = closing.kind.value == "|" and closing.act.value == "" and not closing.labels
    whole = [note_line(remark, "") for remark in bar.remarks if remark.kind is not NoteKind.PIN]
    ditto = None
    if bar.ditto is not None:
        bars, section, number = bar.ditto
        typed = f"{section} {number}" if section else str(bars) if bars > 1 else ""
        ditto = Ditto(bars, section, number, typed, NOWHERE)
    return Bar(
        bar.kind,
        NOWHERE,
        items,
        closing if plain else Barline(closing.kind, NOWHERE, closing.act, closing.labels, typed=True),
        ditto,
        layers=tuple(bar.layers),
        variants=tuple(_variant(variant, signs) for variant in bar.variants),
        notes=(*whole, *labels.notes),
    )


def _variant(variant: VariantDraft, signs: Signs) -> SourceBar:
    items = records(variant.items, Labels(), signs)
    return SourceBar(variant.witness, items, NOWHERE, typed="" if items else OMITS)
