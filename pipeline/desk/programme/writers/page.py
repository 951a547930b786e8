"""The retuning sheet as a page for a browser, large enough for the music stand when printed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from pipeline.desk.programme.sheet import Changeover, Move, Programme, ProgrammePiece, TunedCourse
from pipeline.desk.programme.writers import words
from pipeline.writers.html import ALL_PIECES, Child, Element, element, page, page_header

STYLE = """
.piece { margin: 1.5rem 0 0; padding-top: .75rem; border-top: 1px solid var(--line); }
.piece > h2 { font-size: 1.5rem; margin: 0; }
.piece p { margin: .25rem 0; }
.change { margin: .75rem 0; padding: .5rem 1rem; border-left: .5rem solid var(--accent); background: var(--sheet); }
.change h2, .change h3 { font-size: 1.15rem; margin: 0 0 .25rem; }
.change table { width: auto; }
.change th, .change td { border: 0; padding: .1rem 1.25rem .1rem 0; vertical-align: baseline; }
.change th { font-size: 1.7rem; text-align: right; min-width: 2.5rem; }
.change .pitches { font-size: 1.6rem; font-weight: 600; white-space: nowrap; }
.change .way { font-size: 1.3rem; }
.change .hertz { white-space: nowrap; }
.scale { width: auto; margin: .5rem 0; }
.scale th, .scale td { text-align: center; padding: .15rem .7rem; }
.scale th[scope=row] { text-align: left; padding-left: 0; font-weight: 400; color: var(--faint); }
.scale .pitch td { font-size: 1.3rem; }
.scale .moved { font-weight: 700; background: var(--accent-soft); }
@media print { .piece, .change { break-inside: avoid; } .change { border-color: #000; } }
"""


def programme_page(programme: Programme, proofs: Mapping[str, str] | None = None, home: str = "") -> bytes:
    """The whole sheet as one HTML document in UTF-8. ``proofs`` are the addresses of proof pages by the names of the
    pieces, ``home`` that of the page of all pieces."""
    ways = proofs or {}
    pieces = zip(programme.pieces, programme.changes, strict=True)
    body = element(
        "body",
        None,
        page_header(words.TITLE, filter(None, (words.counts(programme), words.apart(programme))), [(home, ALL_PIECES)]),
        element(
            "main",
            None,
            *(
                _piece(programme, place, piece, change, ways.get(piece.name, ""))
                for place, (piece, change) in enumerate(pieces, start=1)
            ),
        ),
        element(
            "footer",
            None,
            element("h2", None, "Before you turn a peg"),
            element("ul", None, *(element("li", None, said) for said in words.CAUTIONS)),
            *paragraphs(words.limits(programme), "faint"),
        ),
    )
    return page(words.TITLE, body, style=STYLE)


def paragraphs(texts: Iterable[str], look: str = "") -> Iterator[Element]:
    """Each text that is not empty."""
    for text in texts:
        if text:
            yield element("p", {"class": look} if look else None, text)


def _piece(programme: Programme, place: int, piece: ProgrammePiece, change: Changeover, proof: str) -> Element:
    name = f"{place}. {words.name_of(piece)}"
    head = element("h2", {"id": f"piece-{place}"}, element("a", {"href": proof}, name) if proof else name)
    instrument = words.instrument_of(piece, programme)
    who = f"{piece.composer} · {instrument}" if piece.composer else instrument
    parts: list[Child] = [element("p", {"class": "faint"}, who)]
    if change.since is None and piece.stopped:
        parts.append(element("p", None, words.stopped(piece)))
    if piece.diapasons:
        name = f"Diapasons of {words.name_of(piece)}"
        parts.append(wide(scale_table(piece.diapasons, change.moves, name), f"Table: {name}"))
    parts.extend(paragraphs((words.how_known(piece), words.standard_said(piece)), "faint"))
    parts.extend(change_block("h3", words.where(inside), inside.moves, piece, "") for inside in piece.inside)
    parts.extend(paragraphs([words.going_back(piece)]))
    made = element("section", {"class": "piece", "aria-labelledby": f"piece-{place}"})
    if change.since is not None:
        said = words.standard_change(change)
        made.append(change_block("h2", words.before(place, change), words.renamed(change), piece, said))
    for part in (head, *parts):
        if isinstance(part, str) or part is None:
            continue
        made.append(part)
    return made


def change_block(tag: str, head: str, moves: Sequence[Move], piece: ProgrammePiece, standard: str) -> Element:
    """The strings to move, under a head with this ``tag``; ``standard`` says what a change of pitch standard means."""
    if not moves and not standard:
        return element("p", None, element("strong", None, f"{head}: "), words.NOTHING.lower())
    rows = [_row(line) for line in words.lines(moves, piece)]
    table = element("table", None, element("tbody", None, *rows)) if rows else None
    return element(
        "div",
        {"class": "change"},
        element(tag, None, head),
        *paragraphs([standard]),
        wide(table, head) if table is not None else None,
    )


def wide(table: Element, name: str) -> Element:
    """A table that may be wider than the window; it can be moved by the keyboard too."""
    return element("div", {"class": "wide", "tabindex": "0", "role": "group", "aria-label": name}, table)


def _row(line: words.Line) -> Element:
    return element(
        "tr",
        None,
        element("th", {"scope": "row"}, str(line.course)),
        element("td", {"class": "pitches"}, f"{words.in_print(line.before)} → {words.in_print(line.after)}"),
        element("td", {"class": "way"}, line.way),
        element("td", {"class": "hertz"}, line.hertz),
        element("td", None, line.note),
    )


def scale_table(courses: Sequence[TunedCourse], moves: Sequence[Move], name: str) -> Element:
    """Diapasons side by side, those that moved marked; ``name`` is that of the table."""
    moved = {move.course for move in moves if move.semitones}

    def cells(tag: str, texts: Iterable[str], attributes: dict[str, str]) -> Iterator[Element]:
        for course, text in zip(courses, texts, strict=True):
            look = {"class": "moved"} if course.number in moved else {}
            yield element(tag, {**attributes, **look}, text)

    row = {"scope": "row"}
    return element(
        "table",
        {"class": "scale", "aria-label": name},
        element(
            "thead",
            None,
            element(
                "tr",
                None,
                element("th", row, "course"),
                *cells("th", (str(course.number) for course in courses), {"scope": "col"}),
            ),
        ),
        element(
            "tbody",
            None,
            element(
                "tr",
                {"class": "pitch"},
                element("th", row, "pitch"),
                *cells("td", (words.in_print(words.pitches(course)) for course in courses), {}),
            ),
            element("tr", None, element("th", row, "Hz"), *cells("td", map(words.hertz, courses), {})),
        ),
    )
