"""Random edits of a text, seeded, as hands make them: signs typed, struck out, put in the wrong place, lines moved."""

from __future__ import annotations

import random

#: What is typed: signs of the encoding, and what gets between them.
SIGNS = (
    *"0123456789X:,>='\"_!?*-.|&+ abcdTrv#;",
    " 4=3:2",
    "\n",
    "| 4=3:2 3:3 ",
    "ditto",
    "_3:5",
    '"a',
    "'T",
    "é",
    "𝄞",
    "e\u0301",
)
LINES = (
    "| 1=X,4:2,3:3,2:1",
    "| ditto",
    "section Seconda",
    "metre 3/2",
    "metre C",
    "; a comment",
    '"a EB: a reason',
    "v 2=D5 E5",
    "&2r",
    "retune 8 = F#2",
    "again start",
    "",
)


def edited(text: str, chance: random.Random, *, lines: bool = True) -> str:
    """The text after one more edit; ``lines``: it may add, move or take away whole lines too."""
    kind = chance.random()
    at = chance.randrange(len(text) + 1)
    if lines and kind < 0.15:
        rows = text.split("\n")
        here, there = chance.randrange(len(rows)), chance.randrange(len(rows))
        if kind < 0.05:
            rows.insert(here, chance.choice(LINES))
        elif kind < 0.1:
            rows.insert(there, rows.pop(here))
        else:
            del rows[here]
        return "\n".join(rows)
    sign = chance.choice(SIGNS)
    if not lines:
        sign = sign.replace("\n", " ")
    if kind < 0.55:
        return text[:at] + sign + text[at:]
    if kind < 0.8:
        end = at + chance.randrange(1, 3)
        return text[:at] + text[end:] if lines or "\n" not in text[at:end] else text
    end = at + 1
    return text[:at] + sign + text[end:] if lines or "\n" not in text[at:end] else text
