"""What stands before the music: title, people, the page, words on it, the list of parts."""

from __future__ import annotations

from collections.abc import Iterable

from lxml.etree import SubElement, _Element

from pipeline.model.heading import Heading
from pipeline.model.score import Score, VocalStaff
from pipeline.model.verses import verse_lines
from pipeline.model.xmltext import legal
from pipeline.writers.musicxml.sungpart import line_id

#: An A4 page in tenths at 7 mm to 40 tenths.
_WIDTH, _HEIGHT, _MARGIN = 1200, 1697, 85
_SCALING_MM, _SCALING_TENTHS = "7", "40"
_LINE = 22


def header(root: _Element, score: Score) -> None:
    """work, identification, defaults, credit …, part-list."""
    heading = score.heading
    if heading.title:
        SubElement(SubElement(root, "work"), "work-title").text = legal(heading.title)
    _identification(root, heading)
    _defaults(root)
    _credits(root, score)
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


def _defaults(root: _Element) -> None:
    """``defaults``: scaling, page-layout."""
    defaults = SubElement(root, "defaults")
    scaling = SubElement(defaults, "scaling")
    SubElement(scaling, "millimeters").text = _SCALING_MM
    SubElement(scaling, "tenths").text = _SCALING_TENTHS
    page = SubElement(defaults, "page-layout")
    SubElement(page, "page-height").text = str(_HEIGHT)
    SubElement(page, "page-width").text = str(_WIDTH)
    margins = SubElement(page, "page-margins", type="both")
    for side in ("left", "right", "top", "bottom"):
        SubElement(margins, f"{side}-margin").text = str(_MARGIN)


def _credits(root: _Element, score: Score) -> None:
    """``credit`` for title, subtitle, the columns at either side, and the foot of the page."""
    above, top = score.credits, _HEIGHT - _MARGIN
    _credit(root, [above.title], "title", "center", top, size="22")
    _credit(root, [above.subtitle], "subtitle", "center", top - 2 * _LINE, style="italic")
    _credit(root, above.left, "instrument", "left", top - 4 * _LINE)
    _credit(root, above.right, "source", "right", top - 4 * _LINE)
    foot = [f"({note.letter}) {note.text}" for note in score.footnotes]
    foot += [f"{entry.sign} {entry.text}".strip() for entry in score.legend]
    verses = [line for number, text in score.verses for line in _verse(number, text)]
    _credit(root, verses, "verses", "left", _MARGIN + (len(foot) + 1) * _LINE, top=False)
    _credit(root, foot, "footnotes", "left", _MARGIN, size="8", top=False)


def _verse(number: str, text: str) -> list[str]:
    """The lines of a stanza printed after the music, its number before the first."""
    first, *others = verse_lines(text) or ("",)
    return [f"{number}. {first}".rstrip(), *others]


def _credit(
    root: _Element,
    lines: Iterable[str],
    kind: str,
    justify: str,
    y: int,
    *,
    size: str = "10",
    style: str = "normal",
    top: bool = True,
) -> None:
    """``credit`` for each line: credit-type, credit-words. ``y`` is that of the first; of the last at the foot."""
    shown = [line for line in lines if line]
    x = {"left": _MARGIN, "center": _WIDTH // 2, "right": _WIDTH - _MARGIN}[justify]
    for number, line in enumerate(shown):
        credit = SubElement(root, "credit", page="1")
        SubElement(credit, "credit-type").text = kind
        place = y - number * _LINE if top else y + (len(shown) - 1 - number) * _LINE
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
