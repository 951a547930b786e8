"""Findings of form: bars and their metre, repeats, endings."""

from __future__ import annotations

from pipeline.model.diagnostics import Code, Severity

BAR_TOO_SHORT = Code(
    "bar-too-short",
    Severity.ERROR,
    "a bar shorter than its metre",
    "A rhythm sign holds until the next one, so a single sign left out or read one hook too quick shortens "
    "everything after it; most misprints in old tablature are of this kind. The finding stands at the "
    "sign that most simply makes the bar add up. A bar that is short on purpose, such as an upbeat, begins |< "
    "and is not measured; so is one that a repeat sign divides, if its two parts make a whole bar.",
    """\
longneck 1
title A quaver short
instrument theorbo in A
metre C

| 2=7,4:0,3:0 4=3:2 8=3:3
| 1=8,4:2,2:1 |||
""",
    """\
longneck 1
title A full bar
instrument theorbo in A
metre C

| 2=7,4:0,3:0 4.=3:2 8=3:3
| 1=8,4:2,2:1 |||
""",
)

BAR_TOO_LONG = Code(
    "bar-too-long",
    Severity.ERROR,
    "a bar longer than its metre",
    "The rhythm signs of this bar add up to more than the metre holds: a sign is missing or has one hook too few, a "
    "dot is too many, or the bar line before the next bar was forgotten. The finding stands at the sign that "
    "most simply makes the bar add up. A bar that is long or free on purpose begins |> and is not measured.",
    """\
longneck 1
title A quaver long
instrument theorbo in A
metre C

| 2=7,4:0,3:0 4.=3:2 3:3
| 1=8,4:2,2:1 |||
""",
    """\
longneck 1
title A full bar
instrument theorbo in A
metre C

| 2=7,4:0,3:0 4.=3:2 8=3:3
| 1=8,4:2,2:1 |||
""",
)

METRE_DIFFERS = Code(
    "metre-differs",
    Severity.ERROR,
    "a metre that the bars contradict",
    "Nearly all bars from here on hold the same, and something else than the metre asks for: the metre is wrong, or "
    "its sign means something else in this source than usual. Bars are then measured by what most of them hold.",
    """\
longneck 1
title Three minims
instrument theorbo in A
metre 3

| 2=7,4:0 3:0 3:2
| 2=8,4:2 2:1 3:3
| 2=7,4:0 3:0 3:2
| 1.=8,4:2,2:1 |||
""",
    """\
longneck 1
title Three minims
instrument theorbo in A
metre 3 = 3/2

| 2=7,4:0 3:0 3:2
| 2=8,4:2 2:1 3:3
| 2=7,4:0 3:0 3:2
| 1.=8,4:2,2:1 |||
""",
)

UNCLOSED_REPEAT = Code(
    "unclosed-repeat",
    Severity.WARNING,
    "a repeat that opens and never closes",
    "A bar line with dots on its right tells the players where to come back to, but no bar line with dots "
    "on its left ever sends them there. Type the closing sign where the strain ends; where the source lacks "
    "it and the edition adds it, .||! says so.",
    """\
longneck 1
title Never sent back
instrument theorbo in A
metre C
opens ||.

| 1=7,4:0,3:0
| 1=8,4:2,2:1 |||
""",
    """\
longneck 1
title Sent back
instrument theorbo in A
metre C
opens ||.

| 1=7,4:0,3:0
| 1=8,4:2,2:1 .||
""",
)

UNOPENED_REPEAT = Code(
    "unopened-repeat",
    Severity.WARNING,
    "a repeat that may begin in two places",
    "A repeat sign without a sign to open it sends the players back to the beginning, or to the repeat before. "
    "Here a double bar without dots stands between: do they go back to it, or further? Put dots on "
    "the right of that double bar, or open the repeat where it is meant to begin.",
    """\
longneck 1
title Back to where?
instrument theorbo in A
metre C

| 1=7,4:0,3:0 ||
| 1=8,4:2,2:1 .||
""",
    """\
longneck 1
title Back to the double bar
instrument theorbo in A
metre C

| 1=7,4:0,3:0 ||.
| 1=8,4:2,2:1 .||
""",
)

ENDINGS_OUT_OF_ORDER = Code(
    "endings-out-of-order",
    Severity.ERROR,
    "endings that do not follow each other",
    "Endings are counted: the first, then the second, each from its own line on; the line "
    "ending end says where the music runs on for all. A second ending without a first, a first that nothing "
    "follows, or an end of nothing leaves the player without a way through.",
    """\
longneck 1
title The second ending first
instrument theorbo in A
metre C

| 1=7,4:0,3:0
ending 2
| 1=8,4:2,2:1 |||
""",
    """\
longneck 1
title First and second ending
instrument theorbo in A
metre C

| 1=7,4:0,3:0
ending 1
| 1=7,4:0,2:0 .||
ending 2
| 1=8,4:2,2:1 |||
""",
)

ENDING_WITHOUT_REPEAT = Code(
    "ending-without-repeat",
    Severity.WARNING,
    "a first ending that does not lead back",
    "After a first ending the players go back and take the second the next time. The first must therefore close "
    "with a repeat sign; without it they would play both endings one after the other.",
    """\
longneck 1
title No way back
instrument theorbo in A
metre C

| 1=7,4:0,3:0
ending 1
| 1=7,4:0,2:0
ending 2
| 1=8,4:2,2:1 |||
""",
    """\
longneck 1
title The way back
instrument theorbo in A
metre C

| 1=7,4:0,3:0
ending 1
| 1=7,4:0,2:0 .||
ending 2
| 1=8,4:2,2:1 |||
""",
)

MUSIC_AFTER_END = Code(
    "music-after-end",
    Severity.WARNING,
    "music after the final bar line",
    "The three strokes ||| close a piece or one of its sections. Music follows without a new section: either the "
    "line is a double bar ||, or the next section wants its own line, section with its title.",
    """\
longneck 1
title Ended too early
instrument theorbo in A
metre C

| 1=7,4:0,3:0 |||
| 1=8,4:2,2:1 |||
""",
    """\
longneck 1
title Ended at the end
instrument theorbo in A
metre C

| 1=7,4:0,3:0 ||
| 1=8,4:2,2:1 |||
""",
)

_LONG = """\
longneck 1
title Twelve bars
instrument theorbo in A
metre C

| 4=7,3:0 3:2 3:3 2:0
| 4=8,3:1 3:2 3:3 2:1
| 4=9,3:2 3:2 3:3 2:2
| 4=7,3:3 3:2 3:3 2:0
| 4=8,3:0 3:2 3:3 2:1
| 4=9,3:1 3:2 3:3 2:2
| 4=7,3:2 3:2 3:3 2:0
| 4=8,3:3 3:2 3:3 2:1
| 4=9,3:0 3:2 3:3 2:2
| 4=7,3:1 3:2 3:3 2:0
| 4=8,3:2 3:2 3:3 2:1
| 1=7,4:0,3:0
"""

NO_FINAL_LINE = Code(
    "no-final-line",
    Severity.NOTE,
    "an end without a final bar line",
    "The last bar that is typed closes with a plain bar line. Either the end of the piece is not typed yet, or a page "
    "is missing, or the source prints no final line: then |||! adds one.",
    _LONG,
    _LONG.rstrip() + " |||\n",
)

BAR_TWICE = Code(
    "bar-twice",
    Severity.NOTE,
    "two bars in a row typed alike",
    "A bar of many notes is seldom struck twice in a row, but easily typed twice when the eye comes back to the page. "
    "Asked only where the bars are equal in all their lines and the piece has no more than a few such pairs.",
    """\
longneck 1
title Typed twice
instrument theorbo in A
metre C

| 8=7,4:0 3:0 3:2 3:3 2:0 2:1 1:0 1:2
| 8=7,4:0 3:0 3:2 3:3 2:0 2:1 1:0 1:2
| 1=7,4:0,3:0 |||
""",
    """\
longneck 1
title Typed once
instrument theorbo in A
metre C

| 8=7,4:0 3:0 3:2 3:3 2:0 2:1 1:0 1:2
| 1=7,4:0,3:0 |||
""",
)
