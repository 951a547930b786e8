"""The sources of a collation declared in the heading."""

from __future__ import annotations

from pipeline.model.heading import Heading, Witness
from pipeline.model.record import replace
from pipeline.model.tablature import HeadingLine, Tablature
from pipeline.model.text import Span

_COPY_TEXT = "A"


def declared(tablature: Tablature, heading: Heading, witness: Witness) -> Tablature:
    """The text with a line for the other source, and first of all for its own, where the heading has none."""
    known = {each.siglum for each in heading.witnesses}
    if witness.siglum in known:
        return tablature
    first = own_witness(tablature, heading, witness.siglum)
    own = {line.name for line in tablature.heading if isinstance(line, HeadingLine) and line.key == "source"}
    new = [_line(tablature, each) for each in (first, witness) if each.siglum not in own]
    return replace(tablature, heading=(*tablature.heading, *new))


def alone(tablature: Tablature, siglum: str) -> Tablature:
    """The text with none of its sources but this one in its heading."""

    def other(line: object) -> bool:
        return isinstance(line, HeadingLine) and line.key == "source" and line.name != siglum

    return replace(tablature, heading=tuple(line for line in tablature.heading if not other(line)))


def own_witness(tablature: Tablature, heading: Heading, other: str) -> Witness:
    """The source that a text follows; A, where it declares none and no other is called so."""
    if heading.witnesses:
        return heading.witnesses[0]
    siglum = _COPY_TEXT if other != _COPY_TEXT else "B"
    return Witness(siglum, described(tablature, heading))


def described(tablature: Tablature, heading: Heading) -> str:
    """A source in words: as the heading has it, or else by the title of the piece or the name of its file."""
    if heading.witnesses:
        return heading.witnesses[0].text
    return heading.title or tablature.name.rpartition("/")[2].partition(".")[0]


def _line(tablature: Tablature, witness: Witness) -> HeadingLine:
    place = Span(tablature.name, 1, 1, 1)
    return HeadingLine("source", witness.siglum, witness.text, place, place)


def witness_of(tablature: Tablature, heading: Heading, beside: Heading, asked: str = "") -> Witness:
    """What a text calls the source of another: by the siglum asked for; the one that it declares under this
    description; the other text's own, if it is free; or else the next letter."""
    if heading.witnesses[:1] == beside.witnesses[:1]:  # both inherit it: it does not tell them apart
        heading = replace(heading, witnesses=())
    text = described(tablature, heading)
    if asked:
        known = next((each for each in beside.witnesses if each.siglum == asked), None)
        return known or Witness(asked, text)
    others = beside.witnesses[1:]
    same = next((each for each in others if each.text == text), None)
    if same is not None:
        return same
    own = heading.witnesses[0].siglum if heading.witnesses else ""
    if own in {each.siglum for each in others}:
        return next(each for each in others if each.siglum == own)
    taken = {each.siglum for each in beside.witnesses} or {_COPY_TEXT}
    if own and own not in taken:
        return Witness(own, text)
    return Witness(next(letter for letter in "BCDEFGHIJKLMNOPQRSTUVWXYZA" if letter not in taken), text)
