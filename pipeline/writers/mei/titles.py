"""What the document says about itself (``meiHead``), the title block, and the notes that follow the music."""

from __future__ import annotations

from pipeline.model.score import Credits, LegendEntry, Score
from pipeline.writers.mei.names import LB, REND, XML_ID, Element, name, sub
from pipeline.writers.xmltext import legal

_PG_HEAD = name("pgHead")


def write_mei_head(root: Element, score: Score) -> None:
    """Title, composer, editors, sources. No date: the same score gives the same bytes."""
    heading = score.heading
    description = sub(sub(root, name("meiHead")), name("fileDesc"))
    statement = sub(description, name("titleStmt"))
    _text(statement, "title", heading.title or "Untitled")
    if heading.composer:
        _text(statement, "composer", heading.composer)
    for initials, editor in heading.editors:
        _text(statement, "editor", editor or initials)
    sub(description, name("pubStmt"))
    if heading.witnesses:
        sources = sub(description, name("sourceDesc"))
        for witness in heading.witnesses:
            source = sub(sources, name("source"), {XML_ID: f"source-{_token(witness.siglum)}"})
            _text(source, "bibl", witness.text)


def _token(siglum: str) -> str:
    return "".join(character if character.isalnum() else "-" for character in siglum)


def _text(parent: Element, local: str, text: str) -> Element:
    element = sub(parent, name(local))
    element.text = legal(text)
    return element


def write_page_head(definition: Element, credits_: Credits) -> None:
    """``pgHead`` of the first page: title and subtitle in the middle, the rest on either side."""
    head = sub(definition, _PG_HEAD, {"func": "first"})
    _lines(head, {"halign": "center", "valign": "top", "fontsize": "190%"}, (credits_.title,))
    if credits_.subtitle:
        _lines(
            head,
            {"halign": "center", "valign": "middle", "fontsize": "90%", "fontstyle": "italic"},
            (credits_.subtitle,),
        )
    _lines(head, {"halign": "left", "valign": "bottom", "fontsize": "85%"}, credits_.left)
    _lines(head, {"halign": "right", "valign": "bottom", "fontsize": "85%"}, credits_.right)


def _lines(head: Element, attributes: dict[str, str], lines: tuple[str, ...]) -> None:
    if not any(lines):
        return
    block = sub(head, REND, attributes)
    block.text = legal(lines[0])
    for line in lines[1:]:
        sub(block, LB).tail = legal(line)


def write_back(music: Element, legend: tuple[LegendEntry, ...]) -> None:
    """``back``: how to read the page, one paragraph a sign."""
    if not legend:
        return
    division = sub(sub(music, name("back")), name("div"), {"type": "legend"})
    _text(division, "head", "How to read this page")
    for entry in legend:
        paragraph = sub(division, name("p"))
        sign = sub(paragraph, REND, {"fontstyle": "italic"})
        sign.text = legal(entry.sign)
        sign.tail = f" {legal(entry.text)}"
