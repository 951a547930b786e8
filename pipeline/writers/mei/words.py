"""Words over and under the music: titles of sections, tempi, directions, folios."""

from __future__ import annotations

from pipeline.model.notes import Place
from pipeline.model.score import Measure, Words, WordsKind
from pipeline.model.xmltext import legal
from pipeline.writers.folios import folio_mark
from pipeline.writers.mei.marks import TAB_SIZE
from pipeline.writers.mei.names import DIR, REH, REND, TEMPO, XML_ID, Element, stamp, sub
from pipeline.writers.mei.numbers import StaffNumbers

#: How each kind of words is set: size, style, weight.
_LOOKS = {
    WordsKind.SECTION: ("88%", "normal", "bold"),
    WordsKind.TEMPO: ("72%", "normal", "bold"),
    WordsKind.DIRECTION: ("66%", "italic", "normal"),
    WordsKind.RETUNE: ("62%", "italic", "normal"),
    WordsKind.FOLIO: (TAB_SIZE, "normal", "normal"),
    WordsKind.GAP: ("62%", "normal", "normal"),
    WordsKind.CUE: ("66%", "italic", "normal"),
    WordsKind.FOOTNOTE: (TAB_SIZE, "italic", "normal"),
}


def write_words(measure: Element, score_measure: Measure, numbers: StaffNumbers, beat: int, top: str) -> None:
    """What is written first stands nearest to the staff: folios, then words in order.

    Titles of sections are ``reh``, the only words that engravers set above all others; words at the end of a measure
    end there. ``top`` is the staff over which words for everybody stand.
    """
    for folio in score_measure.folios:
        if folio:
            at = {"tstamp": "0", "staff": numbers.tab}
            _set(measure, DIR, at, WordsKind.FOLIO, folio_mark(folio), on_tab=True)
    if score_measure.footnote:
        at = {"tstamp": "0", "staff": numbers.tab}
        _set(measure, DIR, at, WordsKind.FOOTNOTE, score_measure.footnote, on_tab=True)
    if not score_measure.words:
        return
    hollow = {event.id for event in score_measure.tab if not event.figures}
    for words in score_measure.words:
        side = "right" if words.offset and words.offset >= score_measure.ticks else "left"
        _write(measure, words, numbers.tab if words.tablature else top, beat, hollow, side)


_ELEMENTS = {WordsKind.TEMPO: TEMPO, WordsKind.SECTION: REH}


def _write(measure: Element, words: Words, number: str, beat: int, hollow: set[str], side: str) -> None:
    at = {XML_ID: words.id}
    if words.kind is WordsKind.SECTION and not words.offset:
        at["tstamp"] = "0"
    elif words.at and words.at not in hollow:
        at["startid"] = f"#{words.at}"
    else:
        at["tstamp"] = stamp(words.offset, beat)
    at["staff"] = number
    if words.place is Place.BELOW:
        at["place"] = "below"
    text = folio_mark(words.text) if words.kind is WordsKind.FOLIO else words.text
    if words.crotchets:
        at["midi.bpm"] = str(words.crotchets)
    _set(measure, _ELEMENTS.get(words.kind, DIR), at, words.kind, text, on_tab=words.tablature).set("halign", side)


def _set(measure: Element, name: str, at: dict[str, str], kind: WordsKind, text: str, *, on_tab: bool) -> Element:
    size, style, weight = _LOOKS[kind]
    types = "tablature footnote" if kind is WordsKind.FOOTNOTE and on_tab else kind.value
    element = sub(measure, name, {"place": "above", **at, "type": types})
    rend = sub(element, REND, {"fontsize": size, "fontstyle": style, "fontweight": weight})
    rend.text = legal(text)
    return rend
