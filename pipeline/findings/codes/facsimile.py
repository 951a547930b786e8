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

_DIFFER = _MISSING.replace("facsimile 4r = images/4r.jpg", "systems 4r = 8-20, 24-36")

SYSTEMS_DIFFER = Code(
    "systems-differ",
    Severity.WARNING,
    "systems on an image that are not those of the text",
    "A line of the heading says where the systems of the piece lie on the image of a folio, from its top, so that the "
    "proof page can show each over its transcription. Its systems are counted against the breaks in the text: the "
    "folio, or a & for a further system. If the numbers differ, a strip may show the wrong system. The edition does "
    "not depend on it.",
    _DIFFER,
    _DIFFER.replace("systems 4r = 8-20, 24-36\n", ""),
)
