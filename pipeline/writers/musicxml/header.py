"""What stands before the music: title, people, the page, words on it, the list of parts."""

from __future__ import annotations

from collections.abc import Iterable

from lxml.etree import SubElement, _Element

from pipeline.model.heading import Heading
from pipeline.model.layout import Layout
from pipeline.model.score import Score, VocalStaff
from pipeline.model.verses import verse_lines
from pipeline.model.xmltext import legal
from pipeline.writers.musicxml.sungpart import line_id

#: A staff in tenths; margin and line of small type in millimetres.
_STAFF, _MARGIN, _LINE = 40, 14.875, 3.85


def header(root: _Element, score: Score, layout: Layout) -> None:
    """work, identification, defaults, credit …, part-list."""
    heading = score.heading
    if heading.title:
        SubElement(SubElement(root, "work"), "work-title").text = legal(heading.title)
    _identification(root, heading)
    _defaults(root, layout)
    _credits(root, score, _Sheet(layout))
    _part_list(root, score)


def _identification(root: _Element, heading: Heading) -> None:
    """``identification``: creator …, encoding, source, miscellaneous."""
    element = SubElement(root, "identification")
    if heading.composer:
        SubElement(element, "creator", type="composer").text = legal(heading.composer)
    for initials, name in heading.editors:
        SubElement(element, "creator", type="editor").text = legal(name or initials)
    encoding = SubElement(element, "encoding")
    SubElement(encoding, "software").text = "longneck"
    for tag in ("accidental", "beam", "stem"):
        SubElement(encoding, "supports", type="yes", element=tag)
    if heading.witnesses:
        sources = "; ".join(f"{witness.siglum}: {witness.text}" for witness in heading.witnesses)
        SubElement(element, "source").text = legal(sources)
    _miscellaneous(element, heading)


def _miscellaneous(identification: _Element, heading: Heading) -> None:
    """``miscellaneous-field``: what the standard has no place for."""
    fields = [("instrument", heading.instrument.name)]
    if heading.pitch is not None:
        fields.append(("pitch standard", f"A4 = {heading.pitch:g} Hz"))
    if heading.values != 1:
        fields.append(("values", f"{heading.values.denominator}:{heading.values.numerator}"))
    fields.extend(("remark", remark) for remark in heading.remarks)
    element = SubElement(identification, "miscellaneous")
    for name, content in fields:
        SubElement(element, "miscellaneous-field", name=name).text = legal(content)


class _Sheet:
    """A page in tenths of a staff space, as the standard counts."""

    def __init__(self, layout: Layout) -> None:
        self.layout = layout
        self.width, self.height = self.tenths(layout.width), self.tenths(layout.height)
        self.margin, self.line = self.tenths(_MARGIN), self.tenths(_LINE)

    def tenths(self, millimetres: float) -> int:
        return round(millimetres * _STAFF / self.layout.staff)


def _defaults(root: _Element, layout: Layout) -> None:
    """``defaults``: scaling, page-layout."""
    sheet = _Sheet(layout)
    defaults = SubElement(root, "defaults")
    scaling = SubElement(defaults, "scaling")
    SubElement(scaling, "millimeters").text = f"{layout.staff:.4g}"
    SubElement(scaling, "tenths").text = str(_STAFF)
    page = SubElement(defaults, "page-layout")
    SubElement(page, "page-height").text = str(sheet.height)
    SubElement(page, "page-width").text = str(sheet.width)
    margins = SubElement(page, "page-margins", type="both")
    for side in ("left", "right", "top", "bottom"):
        SubElement(margins, f"{side}-margin").text = str(sheet.margin)


def _credits(root: _Element, score: Score, sheet: _Sheet) -> None:
    """``credit`` for title, subtitle, the columns at either side, and the foot of each page."""
    above, top = score.credits, sheet.height - sheet.margin
    _credit(root, sheet, [above.title], "title", "center", top, size="22")
    _credit(root, sheet, [above.subtitle], "subtitle", "center", top - 2 * sheet.line, style="italic")
    _credit(root, sheet, above.left, "instrument", "left", top - 4 * sheet.line)
    _credit(root, sheet, above.right, "source", "right", top - 4 * sheet.line)
    feet = _feet(score, sheet.layout)
    last = max(1, len(sheet.layout.pages))
    verses = [line for number, text in score.verses for line in _verse(number, text)]
    over = sheet.margin + (len(feet.get(last, ())) + 1) * sheet.line
    _credit(root, sheet, verses, "verses", "left", over, top=False, page=last)
    for page, lines in sorted(feet.items()):
        _credit(root, sheet, lines, "footnotes", "left", sheet.margin, size="8", top=False, page=page)


def _feet(score: Score, layout: Layout) -> dict[int, list[str]]:
    """Page → the notes on its bars; on the first page then the key to the signs."""
    pages = layout.page_of(tuple(measure.id for measure in score.measures))
    feet: dict[int, list[str]] = {}
    for note in score.footnotes:
        feet.setdefault(pages.get(note.measure, 1), []).append(f"({note.letter}) {note.text}")
    if score.legend:
        feet.setdefault(1, []).extend(f"{entry.sign} {entry.text}".strip() for entry in score.legend)
    return feet


def _verse(number: str, text: str) -> list[str]:
    """The lines of a stanza printed after the music, its number before the first."""
    first, *others = verse_lines(text) or ("",)
    return [f"{number}. {first}".rstrip(), *others]


def _credit(
    root: _Element,
    sheet: _Sheet,
    lines: Iterable[str],
    kind: str,
    justify: str,
    y: int,
    *,
    size: str = "10",
    style: str = "normal",
    top: bool = True,
    page: int = 1,
) -> None:
    """``credit`` for each line: credit-type, credit-words. ``y`` is that of the first; of the last at the foot."""
    shown = [line for line in lines if line]
    x = {"left": sheet.margin, "center": sheet.width // 2, "right": sheet.width - sheet.margin}[justify]
    for number, line in enumerate(shown):
        credit = SubElement(root, "credit", page=str(page))
        SubElement(credit, "credit-type").text = kind
        place = y - number * sheet.line if top else y + (len(shown) - 1 - number) * sheet.line
        attributes = {
            "default-x": str(x), "default-y": str(place), "font-size": size, "font-style": style,
            "justify": justify, "halign": justify, "valign": "top" if top else "bottom",
        }  # fmt: skip
        SubElement(credit, "credit-words", attributes).text = legal(line)


def _part_list(root: _Element, score: Score) -> None:
    """``part-list``: part-group, tablature, staves, part-group; bar lines run through both; sung lines
    above and basses below have bar lines of their own."""
    parts = SubElement(root, "part-list")
    for staff in score.vocal:
        if not staff.bass:
            _sung_part(parts, staff)
    _instrument_parts(parts, score)
    for staff in score.vocal:
        if staff.bass:
            _sung_part(parts, staff)


def _instrument_parts(parts: _Element, score: Score) -> None:
    name = score.accompaniment_title
    if not (score.tablature or score.staves):
        return
    if not score.tablature:
        usual = "Reduction" if score.copy else "Transcription"
        _score_part(parts, "staves", name or usual, score, silent=False, shown=bool(name))
        return
    if not score.staves:
        _score_part(parts, "tablature", name or "Tablature", score, silent=False, shown=bool(name))
        return
    group = SubElement(parts, "part-group", type="start", number="1")
    SubElement(group, "group-symbol").text = "none"
    SubElement(group, "group-barline").text = "yes"
    _score_part(parts, "tablature", name or "Tablature", score, silent=True, shown=bool(name))
    _score_part(parts, "staves", "Transcription", score, silent=False)
    SubElement(parts, "part-group", type="stop", number="1")


def _sung_part(parts: _Element, staff: VocalStaff) -> None:
    """``score-part``: part-name."""
    part = SubElement(parts, "score-part", id=line_id(staff))
    SubElement(part, "part-name").text = legal(staff.title) or staff.name


def _score_part(parts: _Element, id_: str, name: str, score: Score, *, silent: bool, shown: bool = False) -> None:
    """``score-part``: part-name, score-instrument, midi-instrument. Beside the two staves the tablature is ``silent``:
    it is the same music."""
    part = SubElement(parts, "score-part", id=id_)
    SubElement(part, "part-name", {} if shown else {"print-object": "no"}).text = legal(name)
    instrument = SubElement(part, "score-instrument", id=f"{id_}-instrument")
    SubElement(instrument, "instrument-name").text = legal(score.instrument.name) or name
    if silent:
        SubElement(SubElement(part, "midi-instrument", id=f"{id_}-instrument"), "volume").text = "0"
