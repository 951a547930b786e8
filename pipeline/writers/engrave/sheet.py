"""One page as an SVG document."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pipeline.writers.engrave.paper import Paper
from pipeline.writers.engrave.text import markup
from pipeline.writers.faces import FAMILY

#: Text is as long as it was reckoned, not rounded to the dots of a screen letter by letter.
_STYLE = (
    "text{font-synthesis:none;text-rendering:geometricPrecision}"
    "path,polygon,polyline,rect,ellipse{stroke:currentColor}"
    ".placeholder{visibility:hidden}"
    ".dir,.mNum{font-style:italic}"
    ".tempo,.reh,.ending{font-weight:bold}"
    ".slur path[stroke-dasharray]{stroke-width:24px;stroke-dasharray:70 60}"
    ".ending tspan{font-size:330px}"
    ".ink{fill:none}"
    ".running-head text,.footnotes text,.legend text,.title text{fill:currentColor}"
)


def page_svg(title: str, number: int, glyphs: Mapping[str, str], parts: Sequence[str], paper: Paper) -> str:
    """The page at its true size, white, with the outlines of the glyphs that it uses."""
    name = markup(f"{title}, page {number}" if title else f"Page {number}")
    outlines = "".join(f'<g id="{code}">{outline}</g>' for code, outline in glyphs.items())
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" version="1.1" '
        f'width="{paper.width_mm:g}mm" height="{paper.height_mm:g}mm" '
        f'viewBox="0 0 {paper.width} {paper.height}" color="black" '
        f'font-family="{FAMILY}"><title>{name}</title><style>{_STYLE}</style><defs>{outlines}</defs>'
        f'<rect class="paper" width="{paper.width}" height="{paper.height}" fill="white" style="stroke:none"/>'
        f"{''.join(parts)}</svg>\n"
    )
