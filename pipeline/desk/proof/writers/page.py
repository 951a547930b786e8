"""The proof page of one piece as one HTML document that needs nothing beside it but images of the source."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from pipeline.desk.proof.record import Proof
from pipeline.desk.proof.writers.facts import facts
from pipeline.desk.proof.writers.findings import findings_pane
from pipeline.desk.proof.writers.links import file_links
from pipeline.desk.proof.writers.lists import hand_pane, misprint_pane, source_pane
from pipeline.desk.proof.writers.tools import help_dialog, pane_buttons, sign_bar, tools
from pipeline.desk.proof.writers.words import counted, title_of
from pipeline.desk.proof.writers.work import work_pane
from pipeline.writers.html import ALL_PIECES, Block, Element, data, element, page, page_header

#: An image of one clear pixel: an ``img`` must name one, and no page asks for what is not looked at.
NOTHING = "data:image/gif;base64,R0lGODlhAQABAIAAAAAAAP///yH5BAEAAAAALAAAAAABAAEAAAIBRAA7"
#: In the order in which they stand in the page: each may use what stands before it.
_SCRIPTS = ("start", "text", "score", "choose", "lists", "sound", "picture", "work", "keys")


def write_proof(proof: Proof, *, live: bool = False) -> bytes:
    """The page in UTF-8. A ``live`` one asks the file ``stamp.js`` beside it whether it is still the newest, and loads
    itself anew when not. Takes linear time; the drawings are put in as they are."""
    panes = (
        _score_pane(proof),
        _text_pane(proof),
        findings_pane(proof),
        hand_pane(proof),
        misprint_pane(proof),
        source_pane(proof),
        work_pane(proof),
    )
    body = element(
        "body",
        {"class": "proof", "data-pane": "score", "data-list": _first_list(proof)},
        element("a", {"class": "skip screen-only", "href": "#text"}, "To the text"),
        _header(proof),
        element("main", None, pane_buttons(proof), *panes),
        sign_bar(),
        help_dialog(),
    )
    names = (*_SCRIPTS, "live") if live else _SCRIPTS
    return page(
        title_of(proof.title, proof.texts[0].name) + ", proof",
        body,
        style=_part("proof.css"),
        script="\n".join(_part(f"{name}.js") for name in names),
        live=live,
        blocks=_blocks(proof),
        drawn=[face for view in proof.views for face in view.faces],
    )


@cache
def _part(name: str) -> str:
    return files("pipeline.desk.proof.writers").joinpath("parts", name).read_text(encoding="utf-8")


def _first_list(proof: Proof) -> str:
    """The list that is open at first: the first with something in it."""
    lists = (("findings", proof.findings), ("misprints", proof.misprints or ()), ("hand", proof.marks))
    return next((name for name, items in lists if items), "findings")


def _header(proof: Proof) -> Element:
    more = f"{proof.composer} · {proof.texts[0].name} · " if proof.composer else f"{proof.texts[0].name} · "
    tally = f"{counted(len(proof.bars), 'bar')} · {_tally(proof)}"
    return page_header(
        title_of(proof.title, proof.texts[0].name),
        [element("p", {"class": "faint"}, element("span", {"class": "more"}, more), tally)],
        [(proof.home, ALL_PIECES)],
        file_links(proof.files),
        tools(proof),
    )


def _tally(proof: Proof) -> str:
    kinds = [finding.severity for finding in proof.findings]
    said = [counted(kinds.count(kind), kind) for kind in ("error", "warning", "note") if kind in kinds]
    return ", ".join(said) or "no findings"


def _score_pane(proof: Proof) -> Element:
    """Empty sheets: the script draws those that are looked at."""
    links = [element("a", {"href": f"{view.name}-001.svg"}, view.title) for view in proof.views if view.pages]
    return element(
        "section",
        {"id": "score", "class": "pane", "tabindex": "0", "aria-label": "Score"},
        _strip(proof),
        element("noscript", None, element("p", None, "The pages are drawn by a script. As files: ", *links)),
        *(element("div", {"class": "view", "data-view": view.name}) for view in proof.views),
        element("div", {"class": "end"}),
    )


def _strip(proof: Proof) -> Element | None:
    """Where the script shows the system of the chosen bar, cut from the image of its folio; only where the heading
    says how the systems lie."""
    if not any(image.systems for image in proof.images):
        return None
    picture = element("img", {"id": "strip-image", "alt": "", "src": NOTHING})
    label = {"tabindex": "0", "role": "group", "aria-label": "The system in the source"}
    frame = element("div", {"class": "strip-frame", **label}, element("span", {"class": "cut"}, picture))
    said = element("p", {"id": "strip-said", "class": "faint"})
    return element("div", {"id": "strip", "class": "screen-only", "hidden": "hidden"}, said, frame)


def _blocks(proof: Proof) -> list[Block]:
    """The facts, and the drawings as data: a browser reads past them until a sheet is looked at, and no name in one
    meets another."""
    drawings = [
        Block(f"{view.name}-{number}", "image/svg+xml", _without_prolog(drawing))
        for view in proof.views
        for number, drawing in enumerate(view.pages, start=1)
    ]
    return [*drawings, Block("facts", "application/json", data(facts(proof)))]


def _without_prolog(drawing: str) -> str:
    return drawing[drawing.index("<svg") :]


def _text_pane(proof: Proof) -> Element:
    """The piece as typed, a line an item; under it the headings that it inherits."""
    own, *inherited = proof.texts
    parts = [
        element("h2", {"id": "text-name"}, "Text ", element("span", {"class": "faint"}, own.name)),
        element("ol", {"class": "lines", "aria-label": own.name}, *_lines(own.lines, "L")),
    ]
    for number, text in enumerate(inherited, start=1):
        lines = element("ol", {"class": "lines", "aria-label": text.name}, *_lines(text.lines, f"T{number}L"))
        parts.append(element("details", None, element("summary", None, f"Inherited from {text.name}"), lines))
    return element("section", {"id": "text", "class": "pane", "tabindex": "0", "aria-labelledby": "text-name"}, *parts)


def _lines(lines: tuple[str, ...], prefix: str) -> list[Element]:
    return [
        element("li", {"id": f"{prefix}{number}"}, element("code", None, line))
        for number, line in enumerate(lines, start=1)
    ]
