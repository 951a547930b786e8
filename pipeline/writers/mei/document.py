"""The whole document: head, definition, measures, endings, notes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lxml import etree

from pipeline.edition.casting import Cast
from pipeline.model.apparatus import Apparatus
from pipeline.model.facsimile import Folio
from pipeline.model.parts import whole_id
from pipeline.model.score import BarStyle, Break, Footnote, Measure
from pipeline.model.xmltext import legal
from pipeline.writers.mei.definition import write_change, write_printed_metre, write_retuning, write_score_def
from pipeline.writers.mei.editing import mark_readings
from pipeline.writers.mei.facsimile import write_facsimile
from pipeline.writers.mei.harmony import write_harmony
from pipeline.writers.mei.marks import marked_letters, write_marks
from pipeline.writers.mei.names import (
    ANNOT,
    BAR_LINES,
    ENDING,
    MEASURE,
    MEI,
    PB,
    SB,
    SECTION,
    XML_ID,
    Element,
    name,
    sub,
)
from pipeline.writers.mei.numbers import staff_numbers, tops
from pipeline.writers.mei.spans import Ties, write_spans
from pipeline.writers.mei.staves import write_staves
from pipeline.writers.mei.sung import write_sung_marks, write_sung_staff
from pipeline.writers.mei.symbols import Symbols
from pipeline.writers.mei.tablature import write_tab_staff
from pipeline.writers.mei.titles import write_back, write_mei_head
from pipeline.writers.mei.words import write_words


@dataclass(frozen=True, slots=True)
class MeiForms:
    """The document twice: for an archive, with every reading of the apparatus as markup; and for the engraver, which
    draws markup where it knows it and must be shown only what is to be drawn."""

    archive: bytes
    drawn: bytes


def write_mei(cast: Cast) -> bytes:
    """The score as a UTF-8 document, valid against the schema of MEI 5.1; the same score gives the same bytes. This is
    the engraver's form; the archive's is that of :func:`write_mei_forms`."""
    return _bytes(_document(cast))


def write_mei_forms(cast: Cast, apparatus: Apparatus, folios: Sequence[Folio] = ()) -> MeiForms:
    """Both forms, from one tree. The second differs from the first by nothing but the readings, and the pages of the
    source (``folios``)."""
    root = _document(cast)
    drawn = _bytes(root)
    mark_readings(root, apparatus, cast.score)
    write_facsimile(root, folios, cast.score)
    return MeiForms(_bytes(root), drawn)


def _bytes(root: Element) -> bytes:
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8")


def _document(cast: Cast) -> Element:
    score = cast.score
    root = etree.Element(name("mei"), nsmap={None: MEI})  # type: ignore[dict-item]  # the stubs know no default
    root.set("meiversion", "5.1")
    write_mei_head(root, score)
    music = sub(root, name("music"))
    score_element = sub(sub(sub(music, name("body")), name("mdiv")), name("score"))
    symbols = Symbols(score)
    write_score_def(score_element, score, symbols, cast.size)
    _Writer(cast, symbols).write(sub(score_element, SECTION))
    write_back(music, score)
    return root


class _Writer:
    """What is in force while the measures are written in order."""

    def __init__(self, cast: Cast, symbols: Symbols) -> None:
        score = cast.score
        self._symbols = symbols
        self._numbers = staff_numbers(score)
        self._vocal = score.vocal
        #: Stanzas without their number yet, of each voice that has several.
        self._unnumbered = {staff.name: set(range(1, staff.stanzas + 1)) for staff in score.vocal if staff.stanzas > 1}
        self._tops = tops(cast, self._numbers)
        self._ties = Ties()
        self._beat = 4
        self._cast = cast
        self._footnotes: dict[str, list[Footnote]] = {}
        for footnote in score.footnotes:
            self._footnotes.setdefault(footnote.measure, []).append(footnote)

    def write(self, section: Element) -> None:
        """Every measure, inside its ``ending`` where it has one."""
        holder = section
        for place, measure in enumerate(self._cast.measures):
            if measure.ending is not None and measure.ending.starts:
                number = str(measure.ending.number)
                holder = sub(section, ENDING, {"n": number, "label": f"{number}."})
            self._write_measure(holder, measure, place)
            if place + 1 in self._cast.starts:
                new_page = self._cast.measures[place + 1].layout is Break.NEW_PAGE
                sub(
                    holder, PB if new_page else SB
                )  # inside the ending that it follows: engravers overlook it behind one
            if measure.ending is not None and measure.ending.ends:
                holder = section

    def _write_measure(self, parent: Element, measure: Measure, place: int) -> None:
        if place:
            write_change(parent, measure, self._cast.score, self._numbers)
            if measure.retuned is not None and self._numbers.tab:
                write_retuning(parent, measure.retuned, self._numbers.tab)
        if measure.metre is not None and measure.metre.beats:
            self._beat = measure.metre.unit
        element = sub(parent, MEASURE, _measure_attributes(measure))
        self._write_staves(element, measure, place)
        write_spans(element, measure, self._numbers)
        self._ties.write(element, measure)
        write_sung_marks(element, measure, self._numbers)
        write_marks(element, measure, self._numbers, self._beat)
        write_harmony(element, measure, self._numbers, self._beat)
        write_words(element, measure, self._numbers, self._beat, self._tops[place])
        self._write_footnotes(element, measure)

    def _write_staves(self, element: Element, measure: Measure, place: int) -> None:
        """All staves from the top: voices, tablature, the two staves, basses."""
        numbers = self._numbers
        sung = {staff.staff: staff for staff in measure.sung}
        for staff in self._vocal:
            if not staff.bass:
                numbered = self._unnumbered.get(staff.name)
                write_sung_staff(element, numbers.sung[staff.name], staff.name, sung.get(staff.name), numbered)
        if numbers.tab:
            layer = write_tab_staff(element, measure, numbers.tab, self._symbols)
            if place and measure.metre is not None:
                write_printed_metre(layer, measure.metre, first=True)
        write_staves(element, measure, numbers.pair)
        for staff in self._vocal:
            if staff.bass:
                write_sung_staff(element, numbers.sung[staff.name], staff.name, sung.get(staff.name))

    def _write_footnotes(self, element: Element, measure: Measure) -> None:
        """``annot``: a note of the edition, with the signs it is about."""
        footnotes = self._footnotes.get(whole_id(measure.id))
        if not footnotes:
            return
        places: dict[str, list[str]] = {}
        for letter, sign in marked_letters(measure):
            places.setdefault(letter, []).append(f"#{sign}")
        for footnote in footnotes:
            signs = " ".join(places.get(footnote.letter, ()))
            if not signs and whole_id(measure.id) != measure.id:
                continue  # it stands in another part
            signs = signs or f"#{measure.id}"
            annotation = sub(element, ANNOT, {"n": footnote.letter, "type": "footnote", "plist": signs})
            annotation.text = legal(footnote.text)


def _measure_attributes(measure: Measure) -> dict[str, str]:
    attributes = {XML_ID: measure.id}
    if measure.label:
        attributes["n"] = measure.label
    if not measure.complete:
        attributes["metcon"] = "false"
    if measure.left in (BarStyle.REPEAT_START, BarStyle.DOUBLE, BarStyle.REPEAT_BOTH):
        attributes["left"] = BAR_LINES[measure.left]
    if measure.right is not BarStyle.SINGLE:
        attributes["right"] = BAR_LINES[measure.right]
    return attributes
