"""The engraver at work: one document in, one drawing for each system out.

Systems are drawn one to a sheet, each sheet cut to its content, so that the project can set them on pages as it
likes, with titles, footnotes and spacing of its own.
"""

from __future__ import annotations

import os
import re
import sys
import tempfile
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import verovio

from pipeline.writers.engrave.paper import MEASURE

FONT = Path(__file__).parent / "glyphs" / "Longneck.zip"

#: How the engraver is asked to draw; all lengths in its own units, 18 to the staff space.
OPTIONS: dict[str, object] = {
    "breaks": "smart",
    "pageWidth": round(MEASURE / 10),
    "breaksSmartSb": 0.3,
    "systemMaxPerPage": 1,
    "adjustPageHeight": True,
    "pageHeight": 6000,
    "pageMarginLeft": 0,
    "pageMarginRight": 0,
    "pageMarginTop": 0,
    "pageMarginBottom": 0,
    "header": "none",
    "footer": "none",
    "systemDivider": "none",
    "xmlIdChecksum": True,
    "svgFormatRaw": True,
    "smuflTextFont": "none",
    "fontAddCustom": [str(FONT)],
    "font": "Longneck",
    "fontFallback": "Leipzig",
    "minLastJustification": 0.72,
    "spacingLinear": 0.25,
    "spacingStaff": 6,
    "spacingBraceGroup": 7,
    "lyricWordSpace": 2.2,
    "tieMidpointThickness": 0.45,
    "slurMidpointThickness": 0.45,
    "bracketThickness": 1.0,
    "dashedBarLineDashLength": 1.0,
    "dashedBarLineGapLength": 0.9,
}

#: What pages ask for differently, each the same things: said anew each time, for a toolkit remembers. An edition; a
#: copy, with room between staves whose clefs hang below and rise above them; an edition with voices, whose lines are
#: high as it is.
EDITION_OPTIONS: dict[str, object] = {"spacingStaff": OPTIONS["spacingStaff"], "defaultBottomMargin": 0.5}
COPY_OPTIONS: dict[str, object] = {"spacingStaff": 10, "defaultBottomMargin": 1.0}
SONG_OPTIONS: dict[str, object] = {"spacingStaff": 7, "defaultBottomMargin": 1.0}

#: Notes a little closer together, for lines that are cast as full as they can be.
CLOSE: dict[str, object] = {"spacingLinear": 0.22}

#: A line begins where the document has one begin, however short the line before it.
BREAKS_AS_ASKED: dict[str, object] = {"breaksSmartSb": 0.0}

#: The fonts are said once, when the toolkit is made.
_LAYOUT = {name: value for name, value in OPTIONS.items() if not name.lower().startswith(("font", "smufl"))}

#: One toolkit a thread, kept from piece to piece: making one reads all its fonts, a quarter of the time for a short
#: piece. A toolkit finds its fonts only in the thread that told the library where they are.
_KEPT = threading.local()

_DOTS = re.compile(r'(class="dots">)((?:\s*<ellipse[^>]*/>){2,})(\s*</g>)')
_DOT = re.compile(r"\s*<ellipse[^>]*/>")
_HEIGHT = re.compile(r'<svg width="[\d.]+px" height="([\d.]+)px"')
_USED = re.compile(r'href="#([0-9A-F]+)-\w+"')
_BODY_START = re.compile(r'<g class="page-margin"[^>]*>')
_BODY_END = "</g></svg></svg>"


@dataclass(frozen=True, slots=True)
class System:
    """One system: its drawing as SVG elements, its height in page units (the origin is the left end of its staves
    at the very top of its content), the ids of its measures, the glyphs it uses."""

    drawing: str
    height: int
    measures: tuple[str, ...]
    glyphs: frozenset[str]


@dataclass(frozen=True, slots=True)
class Drawing:
    """All systems, the outline of every glyph, what the engraver complained of, and the size at which the systems
    are to be printed (1 = staves of the usual height)."""

    systems: tuple[System, ...]
    glyphs: dict[str, str]
    warnings: tuple[str, ...]
    size: float

    def holds(self, name: str) -> bool:
        """True if something of this id is drawn."""
        return any(f'id="{name}"' in system.drawing for system in self.systems)


def draw(mei: str, size: float = 1.0, options: Mapping[str, object] = EDITION_OPTIONS) -> Drawing:
    """Lay out and draw a document, for lines that will be printed at ``size``, with the ``options`` of its pages.

    A document that cannot be loaded has no systems, and a warning.
    """
    with _heard() as said:
        sheets = _sheets(mei, size, options)
    glyphs: dict[str, str] = {}
    systems = tuple(_system(sheet, glyphs) for sheet in sheets)
    return Drawing(systems, glyphs, tuple(said), size)


def _sheets(mei: str, size: float, more: Mapping[str, object]) -> list[str]:
    """The sheets as drawn; the engraver leaves out the place of a text that stands at 0, which all readers look for."""
    toolkit = _toolkit()
    own = {"pageWidth": round(MEASURE / 10 / size), "breaks": "smart" if "<sb" in mei else "auto"}
    toolkit.setOptions({**_LAYOUT, **more, **own})
    if not toolkit.loadData(mei):
        return []
    sheets = (toolkit.renderToSVG(number) for number in range(1, toolkit.getPageCount() + 1))
    return [_DOTS.sub(_in_order, sheet).replace('<text y="', '<text x="0" y="') for sheet in sheets]


def _in_order(dots: re.Match[str]) -> str:
    """The dots of a chord on two staves in order of their drawing: the engraver has them as its memory lies."""
    return dots[1] + "".join(sorted(_DOT.findall(dots[2]))) + dots[3]


def _toolkit() -> verovio.toolkit:
    """The toolkit of this thread, as the last piece left it: its options must all be set anew."""
    kept: verovio.toolkit | None = getattr(_KEPT, "toolkit", None)
    if kept is None:
        verovio.setDefaultResourcePath(str(Path(verovio.__file__).parent / "data"))
        kept = _KEPT.toolkit = verovio.toolkit()
        kept.setOptions(OPTIONS)
    return kept


@contextmanager
def _heard() -> Iterator[list[str]]:
    """Everything written to file descriptor 2 meanwhile: the engraver knows no other way to complain."""
    said: list[str] = []
    sys.stderr.flush()
    keep = os.dup(2)
    with tempfile.TemporaryFile() as catch:
        os.dup2(catch.fileno(), 2)
        try:
            yield said
        finally:
            os.dup2(keep, 2)
            os.close(keep)
            catch.seek(0)
            said.extend(line for line in catch.read().decode(errors="replace").splitlines() if line.strip())


def _system(sheet: str, glyphs: dict[str, str]) -> System:
    height = _HEIGHT.search(sheet)
    start = _BODY_START.search(sheet)
    if height is None or start is None or not sheet.endswith(_BODY_END):
        raise ValueError("the engraver's drawing is not built as expected")
    head, body = sheet[: start.start()], sheet[start.end() : -len(_BODY_END)]
    own: set[str] = set()
    suffix = ""
    definitions = head[head.find("<defs>") + 6 : head.find("</defs>")]
    for definition in definitions.split('<g id="')[1:]:
        name, _, outline = definition.partition('">')
        code = name.partition("-")[0]
        own.add(code)
        if code not in glyphs:
            glyphs[code] = outline[: outline.find("</g>")]
    used = _USED.search(body)
    if used is not None:
        suffix = used.group(0)[used.group(0).rfind("-") : -1]
        body = body.replace(f'{suffix}"', '"')
    before_measures = body.split('" class="measure')[:-1]
    measures = tuple(text[text.rfind('"') + 1 :] for text in before_measures)
    return System(body, round(float(height.group(1)) * 10), measures, frozenset(own))
