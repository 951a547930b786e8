"""Words and lines that stand beside the notes."""

from __future__ import annotations

from lxml.etree import SubElement, _Element

from pipeline.model.notes import Octave, Place
from pipeline.model.record import replace
from pipeline.model.score import Words, WordsKind
from pipeline.model.xmltext import legal
from pipeline.writers.folios import folio_mark
from pipeline.writers.musicxml.rows import row
from pipeline.writers.musicxml.spanners import End, Line, Spanners

_ITALIC = {"font-style": "italic"}
RING = {"enclosure": "circle"}
#: How words of each kind are set.
STYLES: dict[WordsKind, dict[str, str]] = {
    WordsKind.SECTION: {"font-weight": "bold", "font-size": "14"},
    WordsKind.TEMPO: {"font-weight": "bold"},
    WordsKind.DIRECTION: _ITALIC,
    WordsKind.RETUNE: _ITALIC,
    WordsKind.FOLIO: {"font-size": "8"},
    WordsKind.GAP: {"font-style": "italic", "enclosure": "rectangle"},
    WordsKind.FOOTNOTE: RING,
    WordsKind.CUE: _ITALIC,
}


def placement(place: Place) -> str:
    """MusicXML knows above and below; signs before or after a note stand above."""
    return "below" if place is Place.BELOW else "above"


def direction(
    measure: _Element,
    text: str,
    *,
    above: bool = True,
    style: dict[str, str] | None = None,
    offset: int = 0,
    footnote: str = "",
    level: str = "",
    voice: int = 0,
    staff: int = 0,
    tempo: int = 0,
) -> None:
    """``direction``: direction-type (words), then offset, footnote, level, voice, staff, sound."""
    element = row(measure, "direction", {"placement": "above" if above else "below"})
    SubElement(SubElement(element, "direction-type"), "words", style or {}).text = legal(text)
    if offset:
        SubElement(element, "offset").text = str(offset)
    if footnote:
        SubElement(element, "footnote").text = legal(footnote)
    if level:
        SubElement(element, "level").text = level
    if voice:
        SubElement(element, "voice").text = str(voice)
    if staff:
        SubElement(element, "staff").text = str(staff)
    if tempo:
        SubElement(element, "sound", tempo=str(tempo))


def words(measure: _Element, word: Words, *, offset: int, footnote: str, staff: int = 0) -> None:
    """Words of the score at a moment; ``offset`` in divisions from where the writing stands."""
    direction(
        measure,
        folio_mark(word.text) if word.kind is WordsKind.FOLIO else word.text,
        above=placement(word.place) == "above",
        style=STYLES[word.kind],
        offset=offset,
        footnote=footnote,
        staff=staff,
        tempo=word.crotchets,
    )


def above(word: Words) -> Words:
    """The same words above the staff: in a singer's copy all stand at the top of the score."""
    return replace(word, place=Place.ABOVE)


def letter(measure: _Element, text: str, footnote: str, *, voice: int = 0, staff: int = 0) -> None:
    """The number of a note at the foot, in a ring, over the sign that it speaks of."""
    direction(measure, text, style=RING, footnote=footnote, voice=voice, staff=staff)


def octave_sign(octave: Octave) -> str:
    """``(8)``, ``(8?)`` where it is asked, ``(15)`` for two octaves."""
    return f"({7 * abs(octave.octaves) + 1}{'?' if octave.asked else ''})"


def octave_footnote(octave: Octave) -> str:
    """What the sign says, in words, for programs that keep notes at the foot."""
    many = "an octave" if abs(octave.octaves) == 1 else f"{abs(octave.octaves)} octaves"
    side = "above" if octave.octaves > 0 else "below"
    perhaps = "perhaps " if octave.asked else ""
    return (
        f"{octave_sign(octave)} The line is {perhaps}meant {many} {side} this sound"
        f" (confidence {octave.confidence:.2f})."
    )


def octave(measure: _Element, sign: Octave, *, voice: int, staff: int) -> None:
    """The sign of a restored octave as words, on the side where the meant octave lies."""
    direction(
        measure,
        octave_sign(sign),
        above=sign.octaves > 0,
        style=_ITALIC,
        footnote=octave_footnote(sign),
        voice=voice,
        staff=staff,
    )


def lower_octave_footnote(octave: Octave) -> str:
    """What the small sign in a singer's copy says: a note stands as its line is meant, or, where the octave is only
    asked, still as it sounds."""
    many = "an octave" if abs(octave.octaves) == 1 else f"{abs(octave.octaves)} octaves"
    confidence = f"(confidence {octave.confidence:.2f})."
    if octave.asked:
        side = "above" if octave.octaves > 0 else "below"
        return f"{_small_sign(octave)} The line is perhaps meant {many} {side} this note {confidence}"
    way = "lower" if octave.octaves > 0 else "higher"
    printed = "The octave printed is a reading of the line"
    return f"{_small_sign(octave)} The instrument sounds this {many} {way}. {printed} {confidence}"


def lower_octave(measure: _Element, sign: Octave, *, voice: int, staff: int) -> None:
    """A small 8 (or ``8?``) beside a note, on the side where the sound lies."""
    direction(
        measure,
        _small_sign(sign),
        above=sign.octaves < 0,
        style={"font-size": "7"},
        footnote=lower_octave_footnote(sign),
        voice=voice,
        staff=staff,
    )


def _small_sign(octave: Octave) -> str:
    return octave_sign(octave).strip("()")


def end_of_line(measure: _Element, end: End, spanners: Spanners, *, staff: int = 0) -> None:
    """``direction``: direction-type (dashes or bracket, with ``camp.`` before a bell-like scale), staff."""
    element = row(measure, "direction", {"placement": "above"})
    kind = "start" if end.starts else "stop"
    if end.line is Line.BRACKET and end.starts:
        SubElement(SubElement(element, "direction-type"), "words", _ITALIC).text = "camp."
    holder = SubElement(element, "direction-type")
    number, staff = spanners.join(end, staff)
    if end.line is Line.DASHES:
        SubElement(holder, "dashes", type=kind, number=number)
    else:
        line_end, line_type = ("down", "dashed") if end.dashed else ("none", "solid")
        shape = {"line-end": line_end, "line-type": line_type}
        SubElement(holder, "bracket", {"type": kind, "number": number, **shape})
    if staff:
        SubElement(element, "staff").text = str(staff)
