"""What a heading would say of the systems on a folio."""

from __future__ import annotations

from pipeline.desk.systems.bands import Bands

#: Where systems in equal shares stand on a page, in percent of its height, if nothing better is known.
_TOP, _BOTTOM = 5, 95


def seen_line(folio: str, bands: Bands) -> str:
    """``systems 4r = 17-36, 42-60, across 5-95``: as seen on the picture."""
    said = [f"{top:g}-{bottom:g}" for top, bottom in bands.systems]
    if bands.left > 0 or bands.right < 100:
        said.append(f"across {bands.left:g}-{bands.right:g}")
    return f"systems {folio} = {', '.join(said)}"


def equal_line(folio: str, count: int) -> str:
    """``systems 4r = 3 in 5-95``: so many systems in equal shares of the page."""
    return f"systems {folio} = {count} in {_TOP}-{_BOTTOM}"
