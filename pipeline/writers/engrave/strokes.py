"""Small signs that the project draws by itself, as SVG. Lengths in page units, y downwards."""

from __future__ import annotations

from pipeline.writers.engrave.places import Box
from pipeline.writers.engrave.text import markup

#: Distance of two tablature lines.
SPACE = 252


def line(x1: float, y1: float, x2: float, y2: float, width: float) -> str:
    """A straight stroke with round ends."""
    return (
        f'<path class="ink" d="M{x1:.0f} {y1:.0f} L{x2:.0f} {y2:.0f}" stroke-width="{width:.0f}" '
        f'stroke-linecap="round"/>'
    )


def brackets(box: Box, reach: float, foot: float = 42) -> str:
    """Square brackets on both sides of a box, ``reach`` away from it."""
    left, right = box.left - reach, box.right + reach
    top, bottom = box.top - reach * 0.4, box.bottom + reach * 0.4
    return (
        f'<path class="ink" d="M{left + foot:.0f} {top:.0f} H{left:.0f} V{bottom:.0f} H{left + foot:.0f} '
        f'M{right - foot:.0f} {top:.0f} H{right:.0f} V{bottom:.0f} H{right - foot:.0f}" stroke-width="17"/>'
    )


def text(words: str, x: float, y: float, size: float, *, italic: bool = False, anchor: str = "middle") -> str:
    """Words on a base line."""
    style = ' font-style="italic"' if italic else ""
    return f'<text x="{x:.0f}" y="{y:.0f}" font-size="{size:.0f}" text-anchor="{anchor}"{style}>{markup(words)}</text>'


def slur(x1: float, x2: float, y1: float, y2: float, dashes: str = "") -> str:
    """A flat bow over two points: its height grows with its length, up to a line of the tablature."""
    length = x2 - x1
    rise = min(1.05 * SPACE, 70 + 0.16 * length)
    lean = min(0.3 * length, 420)
    top1, top2 = y1 - rise * 1.25, y2 - rise * 1.25
    thick = 26
    if dashes:
        return (
            f'<path class="ink" d="M{x1:.0f} {y1:.0f} C{x1 + lean:.0f} {top1:.0f} {x2 - lean:.0f} {top2:.0f} '
            f'{x2:.0f} {y2:.0f}" stroke-width="22" stroke-dasharray="{dashes}"/>'
        )
    return (
        f'<path d="M{x1:.0f} {y1:.0f} C{x1 + lean:.0f} {top1:.0f} {x2 - lean:.0f} {top2:.0f} {x2:.0f} {y2:.0f} '
        f'C{x2 - lean:.0f} {top2 + thick:.0f} {x1 + lean:.0f} {top1 + thick:.0f} {x1:.0f} {y1:.0f} Z" '
        f'stroke-width="10" stroke-linejoin="round"/>'
    )


def half_slur(x1: float, x2: float, y: float, *, opening: bool, dashes: str = "") -> str:
    """One half of a slur that goes over the end of a system."""
    rise = min(SPACE * 0.9, 60 + 0.3 * (x2 - x1))
    near, far = (y, y - rise) if opening else (y - rise, y)
    bend_x = x1 + (x2 - x1) * (0.35 if opening else 0.65)
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return (
        f'<path class="ink" d="M{x1:.0f} {near:.0f} Q{bend_x:.0f} {y - rise:.0f} {x2:.0f} {far:.0f}" '
        f'stroke-width="24" stroke-linecap="round"{dashed}/>'
    )
