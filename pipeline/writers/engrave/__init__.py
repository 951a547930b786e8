"""Engrave: MEI and the score become SVG pages.

What the engraver (verovio 6.4) wants:

- A font zip must be called ``NAME.zip`` and hold ``NAME.xml``, ``NAME/CODE.xml`` and ``NAME.css``.
- ``head.shape`` with an unknown glyph kills it; so do documents that ``safety.py`` refuses.
- ``<line>`` on a tablature staff is not drawn: hold lines, slurs on the tablature, dots, fingers and brackets are drawn
  by ``overlay.py`` at coordinates read from the drawing.
- ``<sb/>`` directly behind ``</ending>`` is overlooked; a change of the tablature's metre is drawn only inside the
  layer; ``reh`` is the only text set above ``tempo``.
- Each system is drawn on a sheet of its own and set on the page by ``pages.py``, which knows titles, footnotes, turns.
"""

from pipeline.writers.engrave.density import Facing, Typeset, typeset, typeset_facing
from pipeline.writers.engrave.drawing import OPTIONS
from pipeline.writers.engrave.pages import Engraved, engrave, engrave_beginning
from pipeline.writers.engrave.paper import A4, LETTER, Paper

__all__ = [
    "A4",
    "LETTER",
    "OPTIONS",
    "Engraved",
    "Facing",
    "Paper",
    "Typeset",
    "engrave",
    "engrave_beginning",
    "typeset",
    "typeset_facing",
]
