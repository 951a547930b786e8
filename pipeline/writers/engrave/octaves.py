"""The bracket over a run of notes meant an octave off their sound: the sign in front, a dashed line, a hook at its end.

The engraver finds room for a plain bracket; this one takes its place.
"""

from __future__ import annotations

import re

from pipeline.writers.engrave import strokes
from pipeline.writers.engrave.widths import text_width
from pipeline.writers.mei.marks import octave_sign

_SPAN = re.compile(
    r'<g ((?:id="o-[^"]*" class="bracketSpan|class="bracketSpan id-o-[^"]* spanning) octave( doubtful)?)">'
    r'((?:<polyline [^>]*/>)*)<path d="M(-?\d+) (-?\d+) L(-?\d+) [^>]*/></g>'
)
_HOOK = re.compile(r'points="(-?\d+),(-?\d+) ')
#: Size of the sign, how far it stands out on the left of its first note, what lies between it and the line; how
#: far all of it stands under the bracket that it replaces, which is not so high.
_SIZE, _OUT, _AIR, _DOWN = 290, 60, 50, 55


def with_octave_brackets(drawing: str) -> str:
    """The drawing of a system with the brackets of its runs; on a new line the sign stands again."""
    return _SPAN.sub(_bracket, drawing) if "bracketSpan" in drawing else drawing


def _bracket(match: re.Match[str]) -> str:
    left, y, right = (int(match.group(place)) for place in (4, 5, 6))
    y += _DOWN
    ends = [int(depth) for x, depth in _HOOK.findall(match.group(3)) if int(x) == right]
    sign = octave_sign(asked=bool(match.group(2)))
    start = left - _OUT + text_width(sign, _SIZE, "italic") + _AIR
    hook = f"V{ends[0]}" if ends else ""
    line = f"M{min(start, right):.0f} {y}H{right}{hook}"
    return (
        f'<g {match.group(1)}">'
        f"{strokes.text(sign, left - _OUT, y + _SIZE / 3, _SIZE, italic=True, anchor='start')}"
        f'<path class="ink" d="{line}" stroke-width="18" stroke-dasharray="72 54"/></g>'
    )
