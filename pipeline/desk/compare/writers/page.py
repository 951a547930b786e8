"""Comparisons as a page for a browser: a table for each piece, the two sides beside each other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from pipeline.desk.compare.difference import Comparison, Verified
from pipeline.desk.compare.writers import words
from pipeline.desk.compare.writers.words import Line, Place
from pipeline.writers.html import Child, Element, element, page

_STYLE = """
.piece { margin: 2rem 0 0; padding-top: .5rem; border-top: 1px solid var(--line); }
.piece h2 { margin: .25rem 0; }
.differences { font-size: .95rem; }
.differences tbody { border-top: 2px solid var(--line); }
.differences th[scope=rowgroup] { font-weight: 400; white-space: nowrap; padding-right: 1.25rem; }
.differences strong { display: block; font-weight: 600; }
.differences .was { border-left: .25rem solid var(--faint); padding-left: .6rem; }
.differences .is { border-left: .25rem solid var(--accent); padding-left: .6rem; }
.differences .where { min-width: 11rem; }
.differences .what { display: block; font-size: .85em; color: var(--faint); }
.nothing { color: var(--faint); font-style: italic; }
.remark { border-left: .25rem solid var(--warning); padding-left: .6rem; }
.list { columns: 2 22rem; padding-left: 1.2rem; }
@media print { .differences tbody { break-inside: avoid; } }
"""

#: Heads of the columns where an edition is verified.
KEPT = ("as kept", "as built now")


def comparison_page(comparisons: Sequence[Comparison], only_one: Sequence[str], only_two: Sequence[str]) -> bytes:
    """Pieces side by side; ``only_one`` and ``only_two`` name those that have no other."""
    differing = [one for one in comparisons if one.differences or one.remarks]
    same = [one.title or one.one for one in comparisons if one not in differing]
    shown = comparisons if len(comparisons) == 1 else differing
    sections = [
        _piece(number, one, (one.one, one.two), words.verdict(one)) for number, one in enumerate(shown, start=1)
    ]
    lists = (("The same music", same), ("Only in the first", only_one), ("Only in the second", only_two))
    return _page(
        "Comparison",
        f"{len(comparisons)} pieces compared, {len(differing)} of them differ." if len(comparisons) != 1 else "",
        [(one.title or one.one, words.verdict(one)) for one in shown],
        sections,
        [_names(head, names) for head, names in lists if names and len(comparisons) != 1],
    )


def verified_page(pieces: Sequence[Verified], removed: Sequence[str]) -> bytes:
    """What is kept against what is built now; ``removed`` are folders kept of pieces that are gone."""
    changed = [one for one in pieces if not one.same]
    said = f"{len(pieces)} pieces built again; {len(changed)} of them changed."
    return _page(
        "Kept and built again",
        said,
        [(one.comparison.title or one.comparison.one, words.verified_verdict(one)) for one in changed],
        [_verified(number, one) for number, one in enumerate(changed, start=1)],
        [_names("Kept for pieces that no longer exist", removed)] if removed else [],
    )


def _page(
    title: str, said: str, index: Sequence[tuple[str, str]], pieces: Sequence[Element], more: Sequence[Element]
) -> bytes:
    body = element(
        "body",
        None,
        element("h1", None, title),
        element("p", None, said) if said else None,
        _index(index) if len(index) > 1 else None,
        element("main", None, *pieces, *more),
    )
    return page(title, body, style=_STYLE)


def _index(pieces: Sequence[tuple[str, str]]) -> Element:
    rows = (
        element("li", None, element("a", {"href": f"#piece-{number}"}, title), f": {said}")
        for number, (title, said) in enumerate(pieces, start=1)
    )
    return element("nav", {"aria-label": "Pieces"}, element("ol", {"class": "list"}, *rows))


def _verified(number: int, verified: Verified) -> Element:
    made = _piece(number, verified.comparison, KEPT, words.verified_verdict(verified))
    for said in words.file_lines(verified):
        made.append(element("p", None, said[0].upper() + said[1:] + "."))
    return made


def _piece(number: int, comparison: Comparison, sides: tuple[str, str], said: str) -> Element:
    name = f"piece-{number}"
    title = comparison.title or comparison.one
    both = comparison.one if comparison.one == comparison.two else f"{comparison.one} → {comparison.two}"
    names = words.FIRST_AND_SECOND if sides != KEPT else words.KEPT_AND_BUILT
    places = list(words.places(comparison, names, beside=False))
    beside = list(words.places(comparison, names, beside=True))
    return element(
        "section",
        {"class": "piece", "aria-labelledby": name},
        element("h2", {"id": name}, title),
        element("p", {"class": "faint"}, both),
        element("p", None, f"{said[0].upper()}{said[1:].removesuffix('.')}."),
        *(element("p", {"class": "remark"}, f"{remark.removesuffix('.')}.") for remark in comparison.remarks),
        _table(f"Differences in {title}", places, sides) if places else None,
        *(_beside(title, beside, sides) if beside else ()),
    )


def _beside(title: str, places: Sequence[Place], sides: tuple[str, str]) -> Iterator[Element]:
    yield element("h3", None, "Apart from the music")
    yield _table(f"Apart from the music, in {title}", places, sides)


def _table(label: str, places: Sequence[Place], sides: tuple[str, str]) -> Element:
    heads = ("Bar", "Where", *sides)
    head = element("thead", None, element("tr", None, *(element("th", {"scope": "col"}, text) for text in heads)))
    table = element("table", {"class": "differences", "aria-label": label}, head, *map(_rows, places))
    return element("div", {"class": "wide", "tabindex": "0", "role": "region", "aria-label": label}, table)


def _rows(place: Place) -> Element:
    first = element(
        "th",
        {"scope": "rowgroup", "rowspan": str(len(place.lines))},
        element("strong", None, place.name[0].upper() + place.name[1:]),
        _typed(place),
    )
    rows: list[Element] = []
    for number, line in enumerate(place.lines):
        rows.append(element("tr", None, first if number == 0 else None, *_cells(line)))
    return element("tbody", None, *rows)


def _typed(place: Place) -> Child:
    if place.one and place.two and place.one != place.two:
        return f"line {place.one}, {place.two}"
    return f"line {place.one or place.two}" if place.one or place.two else None


def _cells(line: Line) -> Iterator[Element]:
    means = element("span", {"class": "what"}, line.means) if line.means else None
    what = (
        element("span", {"class": "what"}, line.kind.value)
        if line.kind.value not in line.where and line.where
        else None
    )
    yield element("td", {"class": "where"}, line.where or line.kind.value, what, means)
    for text, look in ((line.one, "was"), (line.two, "is")):
        yield element("td", {"class": look if text else f"{look} nothing"}, text or words.NOTHING)


def _names(head: str, names: Iterable[str]) -> Element:
    return element(
        "section",
        {"class": "piece"},
        element("h2", None, head),
        element("ul", None, *(element("li", None, name) for name in names)),
    )
