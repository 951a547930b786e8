"""Findings of images of the source that the heading names."""

from __future__ import annotations

from pipeline.model.diagnostics import Code, Severity

_MISSING = """\
longneck 1
title A page
facsimile 4r = images/4r.jpg
instrument theorbo in A
metre C

&4r
| 1=7,4:0,3:0 |||
"""

FACSIMILE_MISSING = Code(
    "facsimile-missing",
    Severity.WARNING,
    "an image of the source that cannot be read",
    "The heading names an image for a folio. Its path counts from the folder of the piece and stays inside the "
    "collection. The file is not there, may not be read, or lies outside. The edition is complete without it; the "
    "proof page shows no image there.",
    _MISSING,
    _MISSING.replace("facsimile 4r = images/4r.jpg\n", ""),
)
FACSIMILE_REFUSED = Code(
    "facsimile-refused",
    Severity.WARNING,
    "an image of the source that cannot be shown",
    "Images are PNG, JPEG or WebP, told by their first bytes and not by their names, up to 16 MB and 120 megapixels: "
    "they are copied beside the pages, so that the folder can be published as it is. This one is something else, or "
    "larger. It is neither copied nor shown.",
    "",
    "",
)
