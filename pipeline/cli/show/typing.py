"""The table for typists: what stands on the page, and what is typed. The README has the same rows."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator

from rich.text import Text

from pipeline.findings.text import INDENT

WIDTH = 96
#: On the page, and typed; what is typed stands between back quotes, ``h`` before a heading line.
ROWS: tuple[tuple[str, str], ...] = (
    ("figures: the lowest line is course 1", "`2:3` is 3 on course 2; course 1 above: heading `lines course 1 above`"),
    ("letters: the upper line is course 1", "`2d` is d on course 2; heading `signs french`"),
    ("five lines, six lines", "heading `lines 5`, `lines 6`"),
    (
        "a bass outside the lines",
        "as printed: `7` `8` `9` `X` `11`, `a` `/a` `//a` `///a` `4` `5`; X on a line is fret 10: `1:X`; stopped: "
        "`7:2`, `7c`",
    ),
    ("octave strings", "heading `course 7 = G2+G3`"),
    ("a chord; under one sign, one after another", "`X,4:2,3:3`; `X>4:2>3:3`"),
    ("one dot or two under a figure", "`3:2.` `3:2..`"),
    (
        "signs without a hook, with one, two",
        "`2=` `4=` `8=`; where the plain stem is a crotchet: heading `stems plain = 4`; values halved: `values 1:2`",
    ),
    ("signs only on change; over every event; joined by a beam", "type what is printed; `16=1:0 _=1:2 _8=1:3`"),
    ("two signs over one event; a rest; no value from here", "`4+8=1:0`; `4=-`; `'n=1:0`"),
    (
        "no sign of metre",
        "measured: `metre none = 4/4`; without measure: `metre none`, where a few signs stand for their own events",
    ),
    ("bar lines: double, final, repeats, dotted", "`||` `|||` `.||` `||.` `.||.` `|-|`; a plain one is not typed"),
    ("an upbeat; a free bar; an empty bar", "`|< 4=1:0`; `|> 4=1:0`; `| -`"),
    ("same bar; same two; as bar 3 of Prima parte", "`| ditto`; `| ditto 2`; `| ditto Prima 3`"),
    (
        "a slur; a tie in a voice; a melisma",
        "`1:0 _1:2`; `v 2=D5 _D`; `1 A- _ men`: `_` joins to what stands before it",
    ),
    ("a hold line reaching here; a star: hold", "`5:-`; `3:2'h`"),
    ("÷; lines through a chord; strum up, down", "`2'r=` `2's=` `2'u=` `2'd=`"),
    ("fermata; barre, partial barre; “and so on”", "`2'f=`; `2'b=`, `3:2'b,1:2'b`; `2'e=`"),
    ("a line to the next stop; fingers left, right", "`3:2's`; `3:2'2`, `3:2'i`"),
    ("an ornament", '`3:2\'T`, declared in the heading: `mark T = "t" trill, after`'),
    ("a new system, page; what stands at its head", '`&`, `&4r`; `| &"c 4=1:0` and under it `"c : clef C3`'),
    ("illegible: fret, line, stop, sign; lost; doubtful", "`3:?` `?:2` `?` `?=3:2`; `3:*` `*`; `3:2?` `4?=`"),
    ("added; emended; left out", "`3:2!` `4!=`; `3:2!3:5` `4!8=`; `!3:5` `!8=`: what is left out takes no time"),
    ("another source has; omits", 'under the bar `"a !B 3:3`, `!B 2=X,4:2 1:0`; `"a !B omits`, `!B omits`'),
)
_TYPED = re.compile(r"`([^`]+)`")


def typing_table() -> Iterator[Text]:
    """The rows, what is typed in bold."""
    yield Text("What stands on the page, and what you type", "bold")
    for seen, typed in ROWS:
        yield Text()
        yield from map(Text, textwrap.wrap(seen, WIDTH))
        for line in textwrap.wrap(typed, WIDTH, initial_indent=INDENT, subsequent_indent=INDENT):
            yield _bold(line)


def _bold(line: str) -> Text:
    """A line with what stands between back quotes in bold, without them; a quote may be opened on another line."""
    shown, at = Text(), 0
    for match in _TYPED.finditer(line):
        shown.append(line[at : match.start()])
        shown.append(match[1], "bold")
        at = match.end()
    shown.append(line[at:].replace("`", ""))
    return shown


def markdown() -> Iterator[str]:
    """The same as rows of a table in Markdown, for the README."""
    for seen, typed in ROWS:
        yield f"| {seen} | {typed.replace('|', chr(92) + '|')} |"
