"""Makes the text faces: ``python -m pipeline.writers.faces.make_faces FOLDER``.

``FOLDER`` holds the four faces of Liberation Serif 2 and DejaVu Sans. Kept are Latin, Greek and Cyrillic letters,
punctuation and arrows of the first, and of the second the few signs that it lacks. Both licences ask that a changed
font has another name. The same sources give the same bytes.
"""

from __future__ import annotations

import sys
from pathlib import Path

from fontTools import subset  # type: ignore[import-untyped]
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

FACES = Path(__file__).parent / "files"
#: File → face it is made from.
TEXT = {"": "Regular", "-Bold": "Bold", "-Italic": "Italic", "-BoldItalic": "BoldItalic"}
LETTERS = [(0x20, 0x17F), (0x192, 0x192), (0x218, 0x21B), (0x2C6, 0x2DD), (0x370, 0x4FF), (0x1E80, 0x1E85)]
PUNCTUATION = [(0x2010, 0x205F), (0x2070, 0x209F), (0x20AC, 0x20AC), (0x2113, 0x2122), (0x2150, 0x215F)]
MARKS = [(0x2190, 0x2195), (0x2200, 0x2265), (0x25A0, 0x25FF), (0xFB01, 0xFB02), (0xFFFD, 0xFFFD)]
#: Elision, flat, natural, sharp, notes; what the text faces lack.
SIGNS = [(0x203F, 0x203F), (0x2669, 0x266F), (0xFFFD, 0xFFFD)]


def main() -> int:
    """Write the faces; says where."""
    if len(sys.argv) != 2:
        print(__doc__)
        return 2
    sources = Path(sys.argv[1])
    for name, face in TEXT.items():
        source = next(sources.rglob(f"LiberationSerif-{face}.ttf"))
        _make(source, [*LETTERS, *PUNCTUATION, *MARKS], f"LongneckText{name}")
    _make(next(sources.rglob("DejaVuSans.ttf")), SIGNS, "LongneckSigns")
    print(FACES)
    return 0


def _make(source: Path, ranges: list[tuple[int, int]], name: str) -> None:
    options = subset.Options(
        hinting=False, layout_features=[], name_IDs=[0, 13, 14], notdef_outline=True, recalc_timestamp=False
    )
    font = TTFont(source, recalcTimestamp=False)
    subsetter = subset.Subsetter(options)
    subsetter.populate(unicodes=[code for low, high in ranges for code in range(low, high + 1)])
    subsetter.subset(font)
    for number, text in ((1, name.partition("-")[0]), (2, name.partition("-")[2] or "Regular"), (4, name), (6, name)):
        for platform in ((1, 0, 0), (3, 1, 0x409)):
            font["name"].setName(text, number, *platform)
    font.save(FACES / f"{name}.ttf")


if __name__ == "__main__":
    sys.exit(main())
