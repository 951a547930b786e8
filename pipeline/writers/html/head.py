"""The head that all pages share: the title, what is said under it, and the ways to other pages."""

from __future__ import annotations

from collections.abc import Iterable

from pipeline.writers.html.pen import Child, Element, element

#: What the way to the page of all pieces is called.
ALL_PIECES = "All pieces"


def page_header(title: str, said: Iterable[Child] = (), ways: Iterable[tuple[str, str]] = (), *more: Child) -> Element:
    """A ``header``. ``said`` are lines under the title, texts or elements; ``ways`` are pairs of an address (one that
    is empty is left out) and what it is called, the way up first; ``more`` stands behind them."""
    lines = (element("p", {"class": "faint"}, one) if isinstance(one, str) else one for one in said if one is not None)
    links = [
        element("li", None, element("a", {"class": "home" if words == ALL_PIECES else "way", "href": address}, words))
        for address, words in ways
        if address
    ]
    way = element("nav", {"class": "ways screen-only", "aria-label": "Other pages"}, element("ul", None, *links))
    heading = element("div", {"class": "heading"}, element("h1", None, title), *lines)
    return element("header", {"class": "top"}, heading, way if links else None, *more)
