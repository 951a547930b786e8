"""What the document says about itself (``meiHead``), the title block, and the notes that follow the music."""

from __future__ import annotations

from pipeline.model.apparatus import Apparatus
from pipeline.model.heading import Heading
from pipeline.model.score import Credits, Score
from pipeline.model.verses import verse_lines
from pipeline.model.xmltext import legal
from pipeline.writers.mei.incipit import write_works
from pipeline.writers.mei.names import LB, REND, XML_ID, Element, name, sub

_PG_HEAD = name("pgHead")
#: Parts of the description of a source, each with its element and what kind of it.
_PARTS = {"Shelfmark": ("identifier", "shelfmark"), "Date": ("date", "source"), "State": ("annot", "state")}


def write_mei_head(root: Element, score: Score) -> None:
    """Title, composer, editors, edition, licence, sources. No date but that of the heading: the same score gives the
    same bytes."""
    heading = score.heading
    head = sub(root, name("meiHead"))
    description = sub(head, name("fileDesc"))
    statement = sub(description, name("titleStmt"))
    _text(statement, "title", heading.title or "Untitled")
    if heading.composer:
        _text(statement, "composer", heading.composer)
    for initials, editor in heading.editors:
        _text(statement, "editor", editor or initials)
    if heading.issue is not None:
        edition = sub(sub(description, name("editionStmt")), name("edition"), {"n": heading.issue.version})
        edition.text = f"Edition {heading.issue.version}, "
        sub(edition, name("date"), {"isodate": heading.issue.date}).text = heading.issue.date
    _write_publication(sub(description, name("pubStmt")), heading)
    write_works(head, score)
    if heading.witnesses:
        sources = sub(description, name("sourceDesc"))
        for witness in heading.witnesses:
            source = sub(sources, name("source"), {XML_ID: source_id(witness.siglum)})
            described = witness.described
            bibl = _text(source, "bibl", described.text)
            for part, text in described.parts:
                local, kind = _PARTS[part]
                _text(bibl, local, text).set("type", kind)


def _write_publication(statement: Element, heading: Heading) -> None:
    """``pubStmt``: the day of the text, and what it may be used for."""
    if heading.issue is not None:
        sub(statement, name("date"), {"isodate": heading.issue.date}).text = heading.issue.date
    if heading.licence is not None:
        licence = _text(sub(statement, name("availability")), "useRestrict", heading.licence.text)
        if heading.licence.address:
            sub(licence, name("ref"), {"target": heading.licence.address})


def source_id(siglum: str) -> str:
    """The id of a source in the head of the document."""
    return "source-" + "".join(character if character.isalnum() else "-" for character in siglum)


def write_editorial_declaration(root: Element, apparatus: Apparatus) -> None:
    """``encodingDesc`` with what the edition says of itself; names for the editors and for sources that only readings
    speak of, so that the readings can point to them."""
    description = next(root.iter(name("fileDesc")))
    statement = apparatus.statement
    encoding = description.makeelement(name("encodingDesc"))
    declaration = sub(encoding, name("editorialDecl"))
    for local, sentences in (("correction", statement.decisions), ("interpretation", statement.readings)):
        if sentences:
            _text(sub(declaration, name(local)), "p", " ".join(sentences))
    if len(declaration):
        description.addnext(encoding)
    for editor, (initials, _) in zip(description.iter(name("editor")), apparatus.editors, strict=False):
        editor.set(XML_ID, f"editor-{initials}")


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


def write_back(music: Element, score: Score) -> None:
    """``back``: the verses that stand without notes, then how to read the page, one paragraph a sign."""
    if not score.legend and not score.verses:
        return
    back = sub(music, name("back"))
    if score.verses:
        _write_verses(sub(back, name("div"), {"type": "verses"}), score.verses)
    if not score.legend:
        return
    division = sub(back, name("div"), {"type": "legend"})
    entries = score.legend
    _text(division, "head", entries[0].sign if score.copy else "How to read this page")
    if score.copy:
        _text(division, "p", entries[0].text)
        entries = entries[1:]
    for entry in entries:
        paragraph = sub(division, name("p"))
        sign = sub(paragraph, REND, {"fontstyle": "italic"})
        sign.text = legal(entry.sign)
        sign.tail = f" {legal(entry.text)}"


def _write_verses(division: Element, verses: tuple[tuple[str, str], ...]) -> None:
    """``lg`` for each stanza, ``l`` for each line."""
    for number, text in verses:
        stanza = sub(division, name("lg"), {"n": number} if number else None)
        for line in verse_lines(text):
            _text(stanza, "l", line)
