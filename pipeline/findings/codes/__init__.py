"""Every kind of finding, by its slug: what ``longneck explain`` knows."""

from __future__ import annotations

from pipeline.findings.codes import (
    bars,
    batch,
    book,
    collating,
    exchange,
    facsimile,
    files,
    hand,
    heading,
    limits,
    moving,
    music,
    pages,
    reading,
    song,
    syntax,
)
from pipeline.model.diagnostics import Code

_MODULES = (
    syntax,
    heading,
    music,
    bars,
    hand,
    reading,
    song,
    facsimile,
    pages,
    book,
    moving,
    exchange,
    collating,
    files,
    limits,
    batch,
)

#: Slug → code, in the order of the modules.
ALL: dict[str, Code] = {
    code.slug: code for module in _MODULES for code in vars(module).values() if isinstance(code, Code)
}

#: The heading that examples without their own are read under.
PLAIN_HEADING = """\
longneck 1
title Example
source A = Trial book
source B = Trial manuscript
editor EB = E. B.
instrument theorbo in A
signs italian
metre C
key C major
mark T = "t" trill, after
layer v = Canto, clef C1

"""


def whole_piece(example: str) -> str:
    """The text of a ``faulty`` or ``mended`` example as a complete file."""
    has_heading = "instrument " in example or example.startswith("longneck ")
    return example if has_heading else f"{PLAIN_HEADING}{example}\n"
