"""Makes the glyph font from the drawings: ``python -m pipeline.writers.engrave.make_glyphs``.

The engraver wants a zip called ``NAME.zip`` that holds ``NAME.xml`` (boxes and advances), ``NAME/CODE.xml`` (one
outline each) and ``NAME.css`` (for text set in the font; there is none, but the file must be there).
The same drawings give the same bytes.
"""

from __future__ import annotations

import sys
import zipfile
from io import BytesIO
from pathlib import Path

from lxml import etree

from pipeline.writers.engrave.glyphs.drawings import Drawing, drawings
from pipeline.writers.engrave.glyphs.pen import Cubic, outline

FONT = "Longneck"
#: A zip cannot be without dates; this one is the earliest it knows.
_EPOCH = (1980, 1, 1, 0, 0, 0)


def main() -> int:
    """Write the font beside the drawings; says where."""
    target = Path(__file__).parent / "glyphs" / f"{FONT}.zip"
    target.write_bytes(font())
    print(target)
    return 0


def font() -> bytes:
    """The whole font file."""
    boxes = etree.Element("bounding-boxes", {"font-family": FONT, "units-per-em": "1000"})
    files: dict[str, bytes] = {}
    for code, drawing in sorted(drawings().items()):
        strokes = outline(drawing.path, drawing.nib)
        boxes.append(_box(code, drawing, strokes))
        files[f"{FONT}/{code:04X}.xml"] = _glyph(code, strokes)
    files[f"{FONT}.xml"] = etree.tostring(boxes, xml_declaration=True, encoding="UTF-8")
    files[f"{FONT}.css"] = b"/* No text is set in this font. */"
    packed = BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for name, content in sorted(files.items()):
            info = zipfile.ZipInfo(name, _EPOCH)
            info.external_attr = 0o644 << 16
            archive.writestr(info, content)
    return packed.getvalue()


def _box(code: int, drawing: Drawing, strokes: list[list[Cubic]]) -> etree._Element:
    """The box from the outline's own points: handles never reach far beyond the curve."""
    xs = [piece[0][0] for stroke in strokes for piece in stroke]
    ys = [piece[0][1] for stroke in strokes for piece in stroke]
    return etree.Element(
        "g",
        {
            "c": f"{code:04X}",
            "x": f"{min(xs, default=0):.0f}",
            "y": f"{min(ys, default=0):.0f}",
            "w": f"{max(xs) - min(xs):.0f}" if xs else str(drawing.width),
            "h": f"{max(ys, default=0) - min(ys, default=0):.0f}",
            "h-a-x": str(drawing.width),
            "n": drawing.name,
        },
    )


def _glyph(code: int, strokes: list[list[Cubic]]) -> bytes:
    path = "".join(_closed(stroke) for stroke in strokes)
    glyph = etree.Element("g", {"id": f"{code:04X}"})
    etree.SubElement(glyph, "path", {"transform": "scale(1,-1)", "d": path})
    return etree.tostring(glyph)


def _closed(stroke: list[Cubic]) -> str:
    pieces = "".join(f"C{b[0]:.0f} {b[1]:.0f} {c[0]:.0f} {c[1]:.0f} {d[0]:.0f} {d[1]:.0f}" for _, b, c, d in stroke)
    start = stroke[0][0]
    return f"M{start[0]:.0f} {start[1]:.0f}{pieces}Z"


if __name__ == "__main__":
    sys.exit(main())
