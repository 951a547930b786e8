"""Comparisons as a page for a browser: a table for each piece, the two sides beside each other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from pipeline.desk.compare.difference import Comparison, Verified
from pipeline.desk.compare.writers import words
from pipeline.desk.compare.writers.words import Line, Place
from pipeline.writers.html import ALL_PIECES, Child, Element, element, page, page_header

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
.differences .typed-at { display: block; font-size: .85em; }
@media screen and (max-width: 46rem) {
  .differences thead { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
  .differences, .differences :is(tbody, tr, th, td) { display: block; border-bottom: 0; }
  .differences tbody { padding: .5rem 0; }
  .differences tr { padding: .3rem 0; }
  .differences td { padding: .1rem 0; overflow-wrap: anywhere; }
  .differences td[data-side]::before { content: attr(data-side); display: block; font-size: .85em;
    color: var(--faint); }
}
@media print {
  .wide { overflow: visible; }
  .differences { table-layout: fixed; }
  .differences th:first-child { width: 18%; } .differences .where { width: 26%; min-width: 0; }
  .differences th[scope=rowgroup] { white-space: normal; }
  .differences td, .differences th { overflow-wrap: anywhere; }
  .differences tr { break-inside: avoid; }
}
"""

#: Heads of the columns where an edition is verified.
KEPT = ("as kept", "as built now")


@dataclass(frozen=True, slots=True)
class Ways:
    """Where the page leads: the addresses of proof pages of either side by the names of the pieces, and of the page of
    all pieces; what is not there is not linked."""

    one: Mapping[str, str] = field(default_factory=dict)
    two: Mapping[str, str] = field(default_factory=dict)
    home: str = ""


NO_WAYS = Ways()


def comparison_page(
    comparisons: Sequence[Comparison], only_one: Sequence[str], only_two: Sequence[str], ways: Ways = NO_WAYS
) -> bytes:
    """Pieces side by side; ``only_one`` and ``only_two`` name those that have no other."""
    differing = [one for one in comparisons if one.differences or one.remarks]
    same = [one.title or one.one for one in comparisons if one not in differing]
    shown = comparisons if len(comparisons) == 1 else differing
    sections = [
        _piece(number, one, (one.one, one.two), words.verdict(one), ways) for number, one in enumerate(shown, start=1)
    ]
    lists = (("The same music", same), ("Only in the first", only_one), ("Only in the second", only_two))
    return _page(
        "Comparison",
        f"{len(comparisons)} pieces compared, {len(differing)} of them differ." if len(comparisons) != 1 else "",
        [(one.title or one.one, words.verdict(one)) for one in shown],
        sections,
        [_names(head, names) for head, names in lists if names and len(comparisons) != 1],
        ways,
    )


def verified_page(pieces: Sequence[Verified], removed: Sequence[str], ways: Ways = NO_WAYS) -> bytes:
    """What is kept against what is built now; ``removed`` are folders kept of pieces that are gone."""
    changed = [one for one in pieces if not one.same]
    said = f"{len(pieces)} pieces built again; {len(changed)} of them changed."
    return _page(
        "Kept and built again",
        said,
        [(one.comparison.title or one.comparison.one, words.verified_verdict(one)) for one in changed],
        [_verified(number, one, ways) for number, one in enumerate(changed, start=1)],
        [_names("Kept for pieces that no longer exist", removed)] if removed else [],
        ways,
    )


def _page(
    title: str,
    said: str,
    index: Sequence[tuple[str, str]],
    pieces: Sequence[Element],
    more: Sequence[Element],
    ways: Ways,
) -> bytes:
    body = element(
        "body",
        None,
        page_header(title, [said] if said else (), [(ways.home, ALL_PIECES)]),
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


def _verified(number: int, verified: Verified, ways: Ways) -> Element:
    made = _piece(number, verified.comparison, KEPT, words.verified_verdict(verified), ways)
    for said in words.file_lines(verified):
        made.append(element("p", None, said[0].upper() + said[1:] + "."))
    return made


def _piece(number: int, comparison: Comparison, sides: tuple[str, str], said: str, ways: Ways) -> Element:
    proofs = ways.one.get(comparison.one, ""), ways.two.get(comparison.two, "")
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
        _proof_links(proofs, sides),
        element("p", None, f"{said[0].upper()}{said[1:].removesuffix('.')}."),
        *(element("p", {"class": "remark"}, f"{remark.removesuffix('.')}.") for remark in comparison.remarks),
        _table(f"Differences in {title}", places, sides, proofs) if places else None,
        *(_beside(title, beside, sides, proofs) if beside else ()),
    )


def _proof_links(proofs: tuple[str, str], sides: tuple[str, str]) -> Element | None:
    """The proof pages of the two, where there are any."""
    links = [element("a", {"href": way}, side) for way, side in zip(proofs, sides, strict=True) if way]
    if not links:
        return None
    return element(
        "p", {"class": "screen-only"}, "Proof pages: ", links[0], *(c for one in links[1:] for c in (", ", one))
    )


def _beside(title: str, places: Sequence[Place], sides: tuple[str, str], proofs: tuple[str, str]) -> Iterator[Element]:
    yield element("h3", None, "Apart from the music")
    yield _table(f"Apart from the music, in {title}", places, sides, proofs)


def _table(label: str, places: Sequence[Place], sides: tuple[str, str], proofs: tuple[str, str]) -> Element:
    heads = ("Bar", "Where", *sides)
    head = element("thead", None, element("tr", None, *(element("th", {"scope": "col"}, text) for text in heads)))
    rows = (_rows(place, sides, proofs) for place in places)
    table = element("table", {"class": "differences", "aria-label": label}, head, *rows)
    return element("div", {"class": "wide", "tabindex": "0", "role": "region", "aria-label": label}, table)


def _rows(place: Place, sides: tuple[str, str], proofs: tuple[str, str]) -> Element:
    first = element(
        "th",
        {"scope": "rowgroup", "rowspan": str(len(place.lines))},
        element("strong", None, place.name[0].upper() + place.name[1:]),
        _typed(place, proofs),
    )
    rows: list[Element] = []
    for number, line in enumerate(place.lines):
        rows.append(element("tr", None, first if number == 0 else None, *_cells(line, sides)))
    return element("tbody", None, *rows)


def _typed(place: Place, proofs: tuple[str, str]) -> Child:
    """The lines of both texts; each leads to its bar on a proof page, if there is one."""
    told: list[Child] = []
    for line, bar, proof in ((place.one, place.bar_one, proofs[0]), (place.two, place.bar_two, proofs[1])):
        if not line or (line == place.one and told and not any(proofs)):
            continue
        told += [
            ", " if told else "line ",
            element("a", {"href": f"{proof}#m{bar}"}, str(line)) if proof else str(line),
        ]
    return element("span", {"class": "typed-at"}, *told) if told else None


def _cells(line: Line, sides: tuple[str, str]) -> Iterator[Element]:
    means = element("span", {"class": "what"}, line.means) if line.means else None
    what = (
        element("span", {"class": "what"}, line.kind.value)
        if line.kind.value not in line.where and line.where
        else None
    )
    yield element("td", {"class": "where"}, line.where or line.kind.value, what, means)
    for text, look, side in ((line.one, "was", sides[0]), (line.two, "is", sides[1])):
        yield element("td", {"class": look if text else f"{look} nothing", "data-side": side}, text or words.NOTHING)


def _names(head: str, names: Iterable[str]) -> Element:
    return element(
        "section",
        {"class": "piece"},
        element("h2", None, head),
        element("ul", None, *(element("li", None, name) for name in names)),
    )
